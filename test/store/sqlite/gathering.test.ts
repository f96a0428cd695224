import { setImmediate as turn } from 'node:timers/promises'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import type { SqliteStore } from '../../../broker/store/sqlite/sqlite-store.ts'
import { pack, source, vessel } from '../examples.ts'
import { sqlitePlace, type SqlitePlace } from './place.ts'

const GATHER_MS = 10_000

describe('a store that lets packs gather', () => {
  let place: SqlitePlace
  let store: SqliteStore
  let kept: number[]
  beforeEach(async () => {
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] })
    place = await sqlitePlace()
    store = await place.open(undefined, { gatherMs: GATHER_MS })
    kept = []
  })
  afterEach(async () => {
    await store.close()
    await place.dispose()
    vi.useRealTimers()
  })
  const keep = (seq: number): void => void store.keepPack(pack(seq)).then(() => kept.push(seq))
  /** Lets time pass, and what comes of it be carried out. */
  async function pass(ms: number): Promise<void> {
    vi.advanceTimersByTime(ms)
    for (let turns = 0; turns < 5; turns++) await turn()
  }

  it('acknowledges them together once they have gathered', async () => {
    keep(1)
    await pass(GATHER_MS / 2)
    keep(2)
    await pass(GATHER_MS / 2 - 1)
    expect(kept).toEqual([])
    await pass(1)
    expect(kept).toEqual([1, 2])
  })

  it('gathers anew after each commit', async () => {
    keep(1)
    await pass(GATHER_MS)
    keep(2)
    await pass(GATHER_MS - 1)
    expect(kept).toEqual([1])
    await pass(1)
    expect(kept).toEqual([1, 2])
  })

  it('commits what a person does at once, and the packs with it', async () => {
    keep(1)
    await store.keepVessel(vessel('v1'))
    await pass(0)
    expect(kept).toEqual([1])
    keep(2)
    await pass(GATHER_MS - 1)
    expect(kept).toEqual([1])
  })

  it('commits for whoever asks whether all is on disk, and before it closes', async () => {
    keep(1)
    await store.settled()
    expect(kept).toEqual([1])
    keep(2)
    await store.close()
    expect(kept).toEqual([1, 2])
    store = await place.open()
    expect(await store.samples([source()])).toHaveLength(2)
  })

  it('writes them for whoever reads them, and packs them densely as ever', async () => {
    for (let seq = 0; seq < 150; seq++) keep(seq)
    expect(await store.samples([source()])).toHaveLength(150)
    for (let seq = 150; seq < 300; seq++) keep(seq)
    await store.seal('bench-1')
    expect(await store.samples([source()])).toHaveLength(300)
  })
})
