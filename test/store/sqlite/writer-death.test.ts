import { join } from 'node:path'
import { setTimeout as wait } from 'node:timers/promises'
import type { Worker } from 'node:worker_threads'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { DATABASE_FILE, openDatabase } from '../../../broker/store/sqlite/database.ts'
import { isOnDisk, proves } from '../../../broker/store/sqlite/evidence.ts'
import { JournalTable } from '../../../broker/store/sqlite/journal-tables.ts'
import type { SqliteStore } from '../../../broker/store/sqlite/sqlite-store.ts'
import { Transactions } from '../../../broker/store/sqlite/transactions.ts'
import { pack, source, vessel } from '../examples.ts'
import { sqlitePlace, type SqlitePlace } from './place.ts'

/**
 * The thread that writes ends: of too little memory, or of a fault in the database library. Expected: it is started again by itself;
 * what it had not committed is refused, so that its sender sends it again; what it had is acknowledged; nothing is kept twice.
 */
describe('the death of the thread that writes', () => {
  let place: SqlitePlace
  let store: SqliteStore
  let threads: Worker[]
  const take = (worker: Worker) => void threads.push(worker)
  /** The first thread that a store starts is the one that writes, and so is each that follows a death of it here: nobody asks for readings. */
  const writing = () => threads.at(-1)!

  beforeEach(async () => {
    threads = []
    process.on('worker', take)
    place = await sqlitePlace({ threads: true })
    store = await place.open()
  })
  afterEach(async () => {
    process.off('worker', take)
    await store.close().catch(() => undefined)
    await place.dispose()
  })

  it('is mended by itself, and the store keeps on', async () => {
    await store.keepVessel(vessel('v1'))
    await writing().terminate()
    await store.keepVessel(vessel('v2'))
    expect(store.canWrite).toBe(true)
    expect((await store.vessels()).map(({ id }) => id).sort()).toEqual(['v1', 'v2'])
    expect(threads).toHaveLength(2)
  })

  it('loses no pack and keeps none twice, whenever it comes', async () => {
    const PACKS = 400
    const DEVICES = 40
    let refusals = 0
    let working = true
    const sender = async (device: number): Promise<void> => {
      for (let seq = 0; seq < PACKS / DEVICES; seq++) {
        const one = pack(seq, { device: `bench-${device}`, boot: `b${seq % 3}` })
        // As a device does: the same pack until it is acknowledged.
        while (
          !(await store
            .keepPack(one)
            .then(() => true)
            .catch(() => false))
        ) {
          refusals++
          await wait(1)
        }
        await wait(device % 7)
      }
    }
    const sending = Promise.all(Array.from({ length: DEVICES }, (_, device) => sender(device)))
    void sending.then(() => (working = false))
    let deaths = 0
    while (working && deaths < 12) {
      await wait(3 + ((deaths * 5) % 11))
      const before = threads.length
      await writing().terminate()
      deaths++
      for (let i = 0; i < 500 && threads.length === before; i++) await wait(5)
    }
    await sending
    expect(deaths).toBeGreaterThan(3)
    expect(refusals).toBeGreaterThan(0)
    await store.close()
    store = await place.open()
    let kept = 0
    for (let device = 0; device < DEVICES; device++) {
      const samples = await store.samples([source({ device: `bench-${device}` })])
      expect(new Set(samples.map(({ atMs }) => atMs)).size).toBe(samples.length)
      kept += samples.length
    }
    expect(kept).toBe(PACKS)
  })

  it('when it comes again and again, is told of as what only a new start may mend', async () => {
    await store.keepVessel(vessel('v1'))
    for (let death = 0; death < 3; death++) {
      const before = threads.length
      await writing().terminate()
      for (let i = 0; i < 500 && threads.length === before && death < 2; i++) await wait(5)
    }
    expect(store.canWrite).toBe(false)
    await expect(store.keepVessel(vessel('v2'))).rejects.toThrow(/writing thread must run/)
    // It is still tried, and the first group that is written is a sign of life.
    for (let i = 0; i < 600 && !store.canWrite; i++) {
      await store.keepVessel(vessel('v2')).catch(() => undefined)
      await wait(10)
    }
    expect(store.canWrite).toBe(true)
  }, 15_000)
})

it('tells by the file whether a group of readings is on disk, and of upserts alone that it cannot be told', async () => {
  const place = await sqlitePlace()
  await (await place.open()).close()
  const db = openDatabase(join(place.dir, DATABASE_FILE))
  const body = new Uint8Array(0)
  const frame = { kind: 'frame', what: { table: JournalTable.a, id: 7, fromMs: 0, packs: 0, body } } as const
  const upsert = { kind: 'document', what: { key: 'k', json: '{}' } } as const
  expect(isOnDisk(db, [upsert, frame])).toBe(false)
  expect(new Transactions(db).run('keep', [upsert, frame]).failure).toBeNull()
  expect(isOnDisk(db, [upsert, frame])).toBe(true)
  expect(isOnDisk(db, [upsert])).toBe(false)
  expect([upsert, frame].map(proves)).toEqual([false, true])
  db.close()
  await place.dispose()
})
