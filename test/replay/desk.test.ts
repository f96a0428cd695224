import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, expect, it } from 'vitest'
import { ThreadTryOuts } from '../../broker/replay/desk.ts'
import { defaultSettings } from '../../broker/room/settings.ts'
import type { Store } from '../../broker/store/contract.ts'
import { openStore } from '../../broker/store/sqlite/open.ts'
import { assignment, batch, pack, reading, START_MS, vessel } from '../store/examples.ts'

const HOUR_MS = 3_600_000
let dir: string
let store: Store
let desk: ThreadTryOuts
let nowMs = 0
beforeEach(async () => {
  dir = mkdtempSync(join(tmpdir(), 'brinewatch-try-'))
  store = await openStore({ dir, clock: () => START_MS })
  let ids = 0
  desk = new ThreadTryOuts({ place: { dir }, newId: () => `t${ids++}`, monotonicMs: () => nowMs })
  await store.keepVessel(vessel('v1'))
  await store.keepAssignment(assignment('a1', { channel: 'water', offset: 0, fromMs: 0 }))
  await store.keepBatch(batch('b1', { startedAtMs: START_MS, endedAtMs: START_MS + 3 * HOUR_MS, lot: null }))
  // Warm for an hour, then 28.5 °C: too hot for a limit of 28 °C, not for 29.4 °C.
  const waterC = (s: number) => (s < 3600 ? 27 : 28.5) + (s % 20) / 200
  for (let from = 0; from < 3 * 3600; from += 600)
    await store.keepPack(
      pack(from, {
        seq: from,
        receivedAtMs: START_MS + from * 1000,
        readings: Array.from({ length: 60 }, (_, n) => {
          const s = from + n * 10
          return reading(START_MS + s * 1000, waterC(s))
        }),
      }),
    )
  await store.settled()
})
afterEach(async () => {
  await desk.close()
  await store.close()
  rmSync(dir, { recursive: true, force: true })
})

const hot = (limit: number) => ({
  settings: defaultSettings,
  proposed: {
    ...defaultSettings.rules,
    'water-too-hot': { ...defaultSettings.rules['water-too-hot'], limit },
  },
  newest: 5,
  nowMs: START_MS + 5 * HOUR_MS,
})
const ended = (id: string) =>
  expect.poll(() => desk.find(id)?.state, { timeout: 30_000 }).not.toMatch(/waiting|running/)

it('runs beside the service, on what the store has on disk, and tells how far it is', async () => {
  const { id, state } = desk.start(hot(28))!
  expect(state).toBe('waiting')
  await ended(id)
  const view = desk.find(id)!
  expect(view).toMatchObject({ state: 'done', progress: 1, total: 1, error: null })
  expect(view.batches[0]).toMatchObject({ batchId: 'b1', untried: null })
  const found = view.batches[0]!.alarms.find(({ rule }) => rule === 'water-too-hot')
  expect(found).toMatchObject({ change: 'new', now: null })
  expect(found!.then!.raisedAtMs).toBe(START_MS + HOUR_MS)
  // The store is as it was.
  expect(await store.alarms({ limit: 9 })).toEqual([])
})

it('runs one after the other, refuses the fifth, ends what is cancelled, and goes on', async () => {
  const [first, second, third, fourth] = [28, 28.1, 28.2, 28.3].map(limit => desk.start(hot(limit))!)
  expect(desk.start(hot(30))).toBeNull()
  expect(desk.cancel(second!.id)).toMatchObject({ state: 'cancelled' })
  expect(desk.cancel('nobody')).toBeUndefined()
  for (const { id } of [first!, third!, fourth!]) {
    await ended(id)
    expect(desk.find(id)).toMatchObject({ state: 'done', total: 1 })
  }
  expect(desk.find(second!.id)).toMatchObject({ state: 'cancelled', batches: [] })
  // What has ended stays as it is.
  expect(desk.cancel(first!.id)).toMatchObject({ state: 'done' })
})

it('ends what nobody asks for any more once another is wished for, and nothing that somebody waits for', () => {
  nowMs = 0
  const [gone, awaited] = [desk.start(hot(28))!, desk.start(hot(28.2))!]
  nowMs = 20_000
  expect(desk.find(awaited.id)!.state).toMatch(/waiting|running/)
  nowMs = 30_001
  const next = desk.start(hot(28.4))!
  expect(desk.find(gone.id)!.state).toBe('cancelled')
  expect(desk.find(awaited.id)!.state).not.toBe('cancelled')
  expect(desk.find(next.id)!.state).toMatch(/waiting|running/)
})

it('says what is wrong when there is nothing to read', async () => {
  await store.close()
  const nowhere = new ThreadTryOuts({
    place: { dir: join(dir, 'nowhere') },
    newId: () => 'x',
    monotonicMs: () => 0,
  })
  nowhere.start(hot(28))
  await expect.poll(() => nowhere.find('x')?.state, { timeout: 30_000 }).toBe('failed')
  expect(nowhere.find('x')?.error).toMatch(/ended too early/)
  await nowhere.close()
  store = await openStore({ dir, clock: () => START_MS })
})
