import { setTimeout as wait } from 'node:timers/promises'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { SqliteStore } from '../../../broker/store/sqlite/sqlite-store.ts'
import { pack, source, vessel } from '../examples.ts'
import { sqlitePlace, type SqlitePlace } from './place.ts'

/** Long beside a commit, short for a test. */
const GATHER_MS = 400

describe('a store that lets packs gather', () => {
  let place: SqlitePlace
  let store: SqliteStore
  let kept: number[]
  beforeEach(async () => {
    place = await sqlitePlace()
    store = await place.open(undefined, { gatherMs: GATHER_MS })
    kept = []
  })
  afterEach(async () => {
    await store.close()
    await place.dispose()
  })
  const keep = (seq: number): void => void store.keepPack(pack(seq)).then(() => kept.push(seq))

  it('acknowledges them together once they have gathered', async () => {
    keep(1)
    await wait(GATHER_MS / 4)
    keep(2)
    await wait(GATHER_MS / 4)
    expect(kept).toEqual([])
    await wait(GATHER_MS)
    expect(kept).toEqual([1, 2])
  })

  it('commits what a person does at once, and the packs with it', async () => {
    keep(1)
    await store.keepVessel(vessel('v1'))
    await wait(1)
    expect(kept).toEqual([1])
    keep(2)
    await wait(20)
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

  it('does not wait when so much has come that it is worth a commit', async () => {
    for (let seq = 0; seq < 2000; seq++) keep(seq)
    await wait(GATHER_MS / 2)
    // Of a writer on its own thread alone: this one waits for each commit, and then packs may gather.
    expect([0, 2000]).toContain(kept.length)
    await wait(GATHER_MS)
    expect(kept).toHaveLength(2000)
  })

  it('writes them for whoever reads them, and packs them densely as ever', async () => {
    for (let seq = 0; seq < 150; seq++) keep(seq)
    expect(await store.samples([source()])).toHaveLength(150)
    for (let seq = 150; seq < 300; seq++) keep(seq)
    await store.seal('bench-1')
    expect(await store.samples([source()])).toHaveLength(300)
  })
})
