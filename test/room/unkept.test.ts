import { expect, it } from 'vitest'
import { Unkept } from '../../broker/room/unkept.ts'

/** A disk that refuses while it is full. */
function disk() {
  const kept: string[] = []
  const state = { full: true }
  const writing = (what: string) => async (): Promise<void> => {
    if (state.full) throw new Error('full')
    kept.push(what)
  }
  return { kept, state, writing }
}
const unkept = () => new Unkept({ error: () => undefined })
const turn = () => new Promise(resolve => setImmediate(resolve))

it('writes later what could not be written, each thing in its newest state alone, in order', async () => {
  const held = unkept()
  const { kept, state, writing } = disk()
  held.keep('keeping', 'alarm a', writing('a raised'))
  held.keep('keeping', 'alarm b', writing('b raised'))
  await turn()
  held.keep('keeping', 'alarm a', writing('a acknowledged'))
  await turn()
  await held.retry()
  expect(kept).toEqual([])
  state.full = false
  await held.retry()
  expect(kept).toEqual(['a acknowledged', 'b raised'])
  expect(held.size).toBe(0)
  await held.retry()
  expect(kept).toHaveLength(2)
})

it('writes nothing old over what was written since', async () => {
  const held = unkept()
  const { kept, state, writing } = disk()
  held.keep('keeping', 'alarm a', writing('a raised'))
  await turn()
  state.full = false
  held.keep('keeping', 'alarm a', writing('a over'))
  await turn()
  await held.retry()
  expect(kept).toEqual(['a over'])
})

it('holds so much and no more, the newest', async () => {
  const held = unkept()
  const { kept, state, writing } = disk()
  for (let n = 0; n < 2500; n++) held.keep('keeping', `watch ${n}`, writing(`${n}`))
  await turn()
  expect(held.size).toBe(2000)
  state.full = false
  await held.retry()
  expect(kept[0]).toBe('500')
  expect(kept).toHaveLength(2000)
})
