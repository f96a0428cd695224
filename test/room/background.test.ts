import { setTimeout as after } from 'node:timers/promises'
import { describe, expect, it } from 'vitest'
import { Background } from '../../broker/room/background.ts'
import { StoreError, StoreErrorCode } from '../../broker/store/contract.ts'
import { closed } from '../../broker/store/refusals.ts'
import { HOUR, openTestRoom } from './opened.ts'

function watched() {
  const logged: string[] = []
  const background = new Background({
    error: (_: unknown, words?: string) => void logged.push(words ?? ''),
  } as never)
  return { background, logged }
}
const full = () => new StoreError(StoreErrorCode.full, 'Cannot keep a document: the disk is full')

describe('work that nobody waits for', () => {
  it('ends without a word where a closing store cuts short what is done anew', async () => {
    const { background, logged } = watched()
    background.start('reckoning a line', Promise.reject(closed('read the readings')), { doneAnew: true })
    await after(0)
    expect(logged).toEqual([])
  })

  it.each([
    ['a real failure of what is done anew', full(), { doneAnew: true }],
    ['an error of our own', new TypeError('no such line'), { doneAnew: true }],
    ['what was to be kept and came too late', closed('keep a document'), {}],
  ])('logs %s', async (_, error, how) => {
    const { background, logged } = watched()
    background.start('the work', Promise.reject(error), how)
    await after(0)
    expect(logged).toEqual(['the work failed'])
  })

  it('is waited for before the store closes where it must be kept, and what it begins too', async () => {
    const { background, logged } = watched()
    const done: string[] = []
    const work = async (name: string) => {
      await after(5)
      done.push(name)
      if (name === 'first') background.start('second', work('second'))
    }
    background.start('first', work('first'))
    background.start('never', new Promise(() => undefined), { doneAnew: true })
    background.start('fails', Promise.reject(full()))
    await background.settled()
    expect(done).toEqual(['first', 'second'])
    expect(logged).toEqual(['fails failed'])
  })
})

it('closes a room in the middle of reckoning the line of a batch that has just ended, without a word', async () => {
  const logged: string[] = []
  const room = await openTestRoom(undefined, words => logged.push(words))
  const { row } = await room.room.createVessel({ name: 'Cone', litres: 1 })
  await room.room.assignChannels(row.id, {
    channels: { water: { device: 'd', channel: 'water' } },
    offsets: {},
  })
  const batch = await room.room.startBatch({ vesselId: row.id, litres: 1, cystsG: 2, salinityGpl: 25 })
  for (let step = 0; step < 20; step++) {
    room.nowMs += HOUR
    await room.send('d', { water: 27 })
  }
  await room.room.endBatch(batch.id, {})
  await room.close()
  await after(50)
  expect(logged).toEqual([])
})
