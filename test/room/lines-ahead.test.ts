import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

let opened: Opened
beforeEach(async () => {
  opened = await openTestRoom()
})
afterEach(() => opened.close())

const water = { channels: { water: { device: 'd', channel: 'water' } }, offsets: {} }
async function endedBatch(): Promise<string> {
  const { row } = await opened.room.createVessel({ name: 'Cone', litres: 1 })
  await opened.room.assignChannels(row.id, water)
  const batch = await opened.room.startBatch({
    vesselId: row.id,
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
    lot: 'spring',
  })
  for (let step = 0; step < 44; step++) {
    opened.nowMs += HOUR / 2
    await opened.send('d', { water: 27 })
  }
  await opened.room.endBatch(batch.id, {})
  return batch.id
}
/** What is kept, once all is written that is under way. */
async function kept(id: string): Promise<string | undefined> {
  await opened.store.settled()
  return opened.store.document(`hatch-line:${id}`)
}
/** Looks again and again until a line other than this is kept, or for no more than twenty seconds. */
async function keptAfterLooks(id: string, before: string | undefined): Promise<string | undefined> {
  for (let look = 0; look < 1000; look++) {
    opened.readyAhead()
    await new Promise(resolve => setTimeout(resolve, 20))
    const now = await kept(id)
    if (now !== before) return now
  }
  return before
}

describe('lines of ended batches', () => {
  it('are there after a start on a store that kept none, before anybody asks', async () => {
    const id = await endedBatch()
    // The one that was reckoned at its end is written first: nothing may come after the other.
    expect(await keptAfterLooks(id, undefined)).toBeDefined()
    await opened.store.keepDocument(`hatch-line:${id}`, 'null')
    opened = await opened.reopen()
    expect(await kept(id)).toBe('null')
    const line = JSON.parse((await keptAfterLooks(id, 'null')) ?? 'null')
    expect(line?.line.t.length).toBe(48)
  })

  it('are reckoned anew when another batch of the lot has been seen otherwise, once that is quiet', async () => {
    const earlier = await endedBatch()
    const later = await opened.room.batch(earlier)
    const { id } = await opened.room.startBatch({
      vesselId: later.vesselId,
      litres: 1,
      cystsG: 2,
      salinityGpl: 25,
      lot: 'spring',
    })
    for (let step = 0; step < 44; step++) {
      opened.nowMs += HOUR / 2
      await opened.send('d', { water: 27 })
    }
    await opened.room.endBatch(id, {})
    opened.nowMs += HOUR
    const before = await keptAfterLooks(id, undefined)
    await opened.room.recordEvent(earlier, {
      kind: 'first-swimmers',
      by: 'a keeper',
      atMs: later.startedAtMs + 9 * HOUR,
    })
    opened.readyAhead()
    expect(await kept(id)).toBe(before)
    opened.nowMs += 60_000
    expect(await keptAfterLooks(id, before)).not.toBe(before)
  })
})
