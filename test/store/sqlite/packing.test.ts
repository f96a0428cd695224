import { setTimeout as wait } from 'node:timers/promises'
import Database from 'better-sqlite3'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { StoreLogger } from '../../../broker/store/logger.ts'
import { CHANNELS_PER_DEVICE } from '../../../broker/intake/reading.ts'
import { BOOTS_PER_DEVICE } from '../../../broker/store/limits.ts'
import type { SqliteStore } from '../../../broker/store/sqlite/sqlite-store.ts'
import { pack, reading, source, START_MS } from '../examples.ts'
import { sqlitePlace, type SqlitePlace } from './place.ts'

describe('packing in a SQLite store', () => {
  let place: SqlitePlace
  let store: SqliteStore
  const told: string[] = []
  const tell = (_: object, text: string) => void told.push(text)
  const logger: StoreLogger = { info: tell, warn: tell, error: tell }
  beforeEach(async () => {
    told.length = 0
    place = await sqlitePlace({ threads: false, logger })
    store = await place.open()
  })
  afterEach(async () => {
    await store.close()
    await place.dispose()
  })

  /** Looks into the file from beside. */
  function counts() {
    const db = new Database(join(place.dir, 'brinewatch.db'), { readonly: true })
    const one = (sql: string) => Number(db.prepare(sql).pluck().get())
    const all = {
      loose: one('SELECT (SELECT count(*) FROM journal_a) + (SELECT count(*) FROM journal_b)'),
      chunks: one('SELECT count(*) FROM chunk'),
      packed: one('SELECT coalesce(sum(count), 0) FROM chunk'),
    }
    db.close()
    return all
  }
  async function keep(from: number, to: number, more = {}) {
    for (let seq = from; seq < to; seq += 32) {
      const turn = Array.from({ length: Math.min(32, to - seq) }, (_, i) =>
        store.keepPack(pack(seq + i, more)),
      )
      await Promise.all(turn)
    }
  }
  async function until(condition: () => boolean) {
    for (let tries = 0; !condition(); tries++) {
      if (tries > 1000) throw new Error(`it did not come to be: ${JSON.stringify(counts())}`)
      await wait(10)
    }
  }

  it('happens by itself after 256 packs, and joins short chunks as more come', async () => {
    await keep(0, 256)
    await until(() => counts().packed === 256)
    expect(counts()).toEqual({ loose: 0, chunks: 1, packed: 256 })
    await keep(256, 512)
    await until(() => counts().packed === 512)
    expect(counts().chunks).toBe(1)
    expect(await store.samples([source()])).toHaveLength(512)
  })

  it('waits until devices have 256 packs on average, but not when one of them has 1024', async () => {
    await keep(0, 20, { device: 'quiet-0' })
    await keep(0, 491)
    expect(counts().packed).toBe(0)
    await keep(491, 492)
    await until(() => counts().packed === 512)
    for (let n = 0; n < 10; n++) await keep(100, 101, { device: `quiet-${n}` })
    await keep(1000, 2023)
    expect(counts().packed).toBe(512)
    await keep(2023, 2024)
    await until(() => counts().loose === 0)
  })

  it('gives back the room that a flood of loose packs took', async () => {
    for (let turn = 0; turn < 20; turn++) {
      await Promise.all(Array.from({ length: 1000 }, (_, i) => store.keepPack(pack(turn * 1000 + i))))
    }
    await store.seal('bench-1')
    const db = new Database(join(place.dir, 'brinewatch.db'), { readonly: true })
    expect(Number(db.pragma('page_count', { simple: true })) * 4096).toBeLessThan(20_000 * 3 + 250_000)
    db.close()
    expect(await store.samples([source()])).toHaveLength(20_000)
  })

  it('joins at the end of a batch what a bad link tore into pieces', async () => {
    for (let piece = 0; piece < 8; piece++) {
      // Each with a backlog from long before, so that the pieces overlap.
      await keep(piece * 100, piece * 100 + 100, {
        readings: [reading(START_MS + piece * 1000, 27), reading(START_MS + 1e7 + piece * 1000, 27.0625)],
      })
      await store.seal('bench-1')
    }
    const before = await store.samples([source()])
    await store.seal('bench-1')
    expect(counts().loose).toBe(0)
    expect(counts().chunks).toBeLessThanOrEqual(3)
    expect(await store.samples([source()])).toEqual(before)
    expect(before).toHaveLength(1600)
  })

  it('that fails leaves the readings where they were, says so, and is done later', async () => {
    await keep(0, 255)
    const file = new Database(join(place.dir, 'brinewatch.db'))
    file.exec('ALTER TABLE chunk RENAME TO hidden')
    await keep(255, 256)
    await until(() => told.length > 0)
    expect(told[0]).toContain('stay in the journal')
    file.exec('ALTER TABLE hidden RENAME TO chunk')
    file.close()
    await keep(256, 300)
    expect(await store.samples([source()])).toHaveLength(300)
    await store.close()
    store = await place.open()
    expect(store.seen('bench-1', 'b1')).toEqual([[0, 299]])
    await store.seal('bench-1')
    expect(counts()).toMatchObject({ loose: 0, packed: 300 })
  })

  it('works on a full disk: what is packed takes less than it did', async () => {
    await keep(0, 200, { readings: Array.from({ length: 50 }, (_, i) => reading(START_MS + i, 27)) })
    const free = await place.fill(store)
    await store.seal('bench-1')
    expect(counts().loose).toBe(0)
    await free()
  })

  it('remembers the numbers of the newest 64 power-ups of a device', async () => {
    for (let boot = 0; boot <= BOOTS_PER_DEVICE; boot++)
      await store.keepPack(pack(1, { boot: `boot-${boot}` }))
    expect(store.seen('bench-1', 'boot-0')).toEqual([])
    expect(store.seen('bench-1', 'boot-1')).toEqual([[1, 1]])
    await store.close()
    store = await place.open()
    expect(store.seen('bench-1', 'boot-0')).toEqual([])
    expect(store.seen('bench-1', `boot-${BOOTS_PER_DEVICE}`)).toEqual([[1, 1]])
  })

  it('keeps at most 256 channels of a device, and says when it leaves one out', async () => {
    const readings = Array.from({ length: CHANNELS_PER_DEVICE + 5 }, (_, i) =>
      reading(START_MS, i, { channel: `c${i}` }),
    )
    await store.keepPack(pack(1, { readings }))
    await store.keepPack(pack(2, { readings }))
    expect(await store.latest()).toHaveLength(CHANNELS_PER_DEVICE)
    expect(told).toEqual(['not kept: too many channels of one device'])
  })
})
