import { join } from 'node:path'
import { setImmediate as turn } from 'node:timers/promises'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { StoreErrorCode } from '../../../broker/store/contract.ts'
import { InlineAsker } from '../../../broker/store/sqlite/asker.ts'
import { type Db, openDatabase } from '../../../broker/store/sqlite/database.ts'
import { SILENT } from '../../../broker/store/logger.ts'
import { SqliteStore } from '../../../broker/store/sqlite/sqlite-store.ts'
import { Access } from '../../../broker/store/sqlite/store-parts.ts'
import type { Outcome } from '../../../broker/store/outcome.ts'
import { Transactions } from '../../../broker/store/sqlite/transactions.ts'
import type { Writer } from '../../../broker/store/sqlite/writer.ts'
import type { Work } from '../../../broker/store/sqlite/writes.ts'
import { pack, reading, source, START_MS, vessel } from '../examples.ts'
import { sqlitePlace, type SqlitePlace } from './place.ts'

const FULL: Outcome = {
  failure: { code: StoreErrorCode.full, message: 'no room' },
  answers: [],
  refused: [],
}

/** A writer as slow as the test likes. */
class SlowWriter implements Writer {
  readonly overlaps = true
  readonly lives = true
  readonly groups: (readonly Work[])[] = []
  readonly #transactions: Transactions
  #finish: ((fail: boolean) => void) | null = null

  constructor(db: Db) {
    this.#transactions = new Transactions(db)
  }

  write(doing: string, works: readonly Work[], ended: (outcome: Outcome) => void): void {
    expect(this.#finish).toBeNull()
    this.groups.push(works)
    this.#finish = fail => {
      this.#finish = null
      ended(fail ? FULL : this.#transactions.run(doing, works))
    }
  }

  get busy(): boolean {
    return this.#finish !== null
  }

  finish(fail = false): void {
    this.#finish?.(fail)
  }

  poll(): void {}
  limitBytes(): void {}
  async close(): Promise<void> {}
}

describe('a store whose disk is slow', () => {
  let place: SqlitePlace
  let db: Db
  let writer: SlowWriter
  let store: SqliteStore
  beforeEach(async () => {
    place = await sqlitePlace()
    const file = join(place.dir, 'brinewatch.db')
    db = openDatabase(file)
    writer = new SlowWriter(db)
    const asker = () => new InlineAsker(file)
    const parts = {
      access: Access.service,
      logger: SILENT,
      clock: null,
      rescue: null,
      unlock: () => undefined,
    }
    store = new SqliteStore({ db, writer, reading: asker(), packing: asker(), ...parts })
  })
  afterEach(async () => {
    const closing = store.close()
    for (let i = 0; i < 20; i++) {
      writer.finish()
      await turn()
    }
    await closing
    await place.dispose()
  })

  /** Whether it has come to pass by now. */
  async function isDone(promise: Promise<unknown>): Promise<boolean> {
    await turn()
    return Promise.race([promise.then(() => true), turn(false)])
  }

  it('gathers the next group while one is written, and says that a pack is kept when its own is', async () => {
    const first = store.keepPack(pack(1))
    await turn()
    const second = store.keepPack(pack(2))
    const third = store.keepPack(pack(3))
    expect(await isDone(first)).toBe(false)
    writer.finish()
    expect(await isDone(first)).toBe(true)
    expect(await isDone(second)).toBe(false)
    expect(store.seen('bench-1', 'b1')).toEqual([[1, 1]])
    writer.finish()
    await Promise.all([second, third])
    expect(store.seen('bench-1', 'b1')).toEqual([[1, 3]])
    expect(writer.groups).toHaveLength(2)
  })

  it('does not keep twice what is on its way, and answers the repeat with the first', async () => {
    const first = store.keepPack(pack(1))
    await turn()
    const repeat = store.keepPack(pack(1))
    const settled = store.settled()
    expect(await isDone(repeat)).toBe(false)
    writer.finish()
    await Promise.all([first, repeat, settled])
    expect(await store.samples([source()])).toHaveLength(1)
  })

  it('takes back with a failed group the one behind it, and keeps both when they come again', async () => {
    const rows = () => store.keepPack(pack(1, { device: 'new', readings: [reading(START_MS, 1)] }))
    const first = [rows(), store.keepPack(pack(1))]
    await turn()
    // Counts on the device's number, which the group before brings.
    const behind = [
      store.keepPack(pack(2, { device: 'new' })),
      store.keepVessel(vessel('v1')),
      store.settled(),
    ]
    writer.finish(true)
    const results = await Promise.allSettled([...first, ...behind])
    expect(results.map(({ status }) => status)).toEqual(results.map(() => 'rejected'))
    expect(store.seen('new', 'b1')).toEqual([])
    expect(store.channels('new')).toEqual([])
    expect(await store.vessels()).toEqual([])

    const again = [rows(), store.keepPack(pack(1)), store.keepPack(pack(2, { device: 'new' }))]
    await turn()
    writer.finish()
    await Promise.all(again)
    expect(store.seen('new', 'b1')).toEqual([[1, 2]])
    expect(await store.samples([source({ device: 'new' }), source()])).toHaveLength(3)
  })

  it('begins early when many packs come in one turn, and parts nothing that was kept without a break', async () => {
    const kept: Promise<void>[] = []
    for (let seq = 0; seq < 600; seq++) kept.push(store.keepPack(pack(seq)))
    expect(writer.busy).toBe(false)
    await Promise.resolve()
    expect(writer.busy).toBe(true)
    writer.finish()
    await Promise.all(kept)
    expect(writer.groups).toHaveLength(1)
  })

  it('packs nothing away while a group is on its way into the same journal', async () => {
    const first = store.keepPack(pack(1))
    await turn()
    const sealed = store.seal('bench-1')
    const second = store.keepPack(pack(2))
    expect(await isDone(sealed)).toBe(false)
    for (let i = 0; i < 20; i++) {
      writer.finish()
      await turn()
    }
    await Promise.all([first, second, sealed])
    expect((await store.samples([source()])).map(({ value }) => value)).toEqual([27.0625, 27.125])
    const packed = db.prepare('SELECT coalesce(sum(count), 0) FROM chunk').pluck()
    expect(packed.get()).toBe(1)
    expect(store.seen('bench-1', 'b1')).toEqual([[1, 2]])
  })

  it('writes with a packed journal the numbers that are on disk, not those on their way', async () => {
    const first = store.keepPack(pack(1))
    await turn()
    const sealed = store.seal('bench-1')
    const lost = store.keepPack(pack(2))
    lost.catch(() => undefined)
    while (!writer.groups.some(works => works.some(({ kind }) => kind === 'packing'))) {
      writer.finish()
      await turn()
    }
    const ranges = writer.groups.flat().flatMap(work => (work.kind === 'packing' ? work.what.ranges : []))
    expect(ranges.map(([, numbers]) => numbers)).toEqual([[[1, 1]]])
    for (let i = 0; i < 20; i++) {
      writer.finish()
      await turn()
    }
    await Promise.all([first, sealed])
  })
})
