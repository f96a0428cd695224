import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { chmodSync, existsSync, readdirSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { createInterface } from 'node:readline'
import Database from 'better-sqlite3'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { Quality } from '../../../broker/intake/reading.ts'
import { ByteWriter } from '../../../broker/store/codec/bytes.ts'
import { markOf } from '../../../broker/store/codec/mark.ts'
import { writeReading } from '../../../broker/store/codec/pack-body.ts'
import { migrate, openDatabase } from '../../../broker/store/sqlite/database.ts'
import { openStore } from '../../../broker/store/sqlite/open.ts'
import { MIGRATIONS } from '../../../broker/store/sqlite/schema.ts'
import { alarm, pack, source, START_MS, vessel } from '../examples.ts'
import { sqlitePlace, type SqlitePlace } from './place.ts'

const CHILD = new URL('./child.ts', import.meta.url).pathname

/** Starts the child script on a directory; its lines come one by one. */
function startChild(what: string, dir: string) {
  const child = spawn(process.execPath, ['--import', 'tsx', CHILD, what, dir], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  const lines = createInterface({ input: child.stdout })[Symbol.asyncIterator]()
  return { child, next: async () => (await lines.next()).value as string | undefined }
}

describe('the files of a SQLite store', () => {
  let place: SqlitePlace
  beforeEach(async () => {
    place = await sqlitePlace()
  })
  afterEach(() => place.dispose())

  it('are written with full synchronisation and a bounded log, and the settings are checked', () => {
    const db = openDatabase(join(place.dir, 'brinewatch.db'))
    const setting = (name: string) => db.pragma(name, { simple: true })
    expect(setting('journal_mode')).toBe('wal')
    // 2 is FULL: https://www.sqlite.org/pragma.html#pragma_synchronous
    expect(setting('synchronous')).toBe(2)
    expect(setting('wal_autocheckpoint')).toBe(1000)
    expect(setting('journal_size_limit')).toBe(16 * 1024 * 1024)
    expect(setting('user_version')).toBe(MIGRATIONS.length)
    db.close()
  })

  it('grow from any older version step by step, and a failed step leaves the one before', () => {
    const db = new Database(':memory:')
    const steps = ['CREATE TABLE one (a)', 'ALTER TABLE one ADD COLUMN b', 'INSERT INTO one VALUES (1, 2)']
    migrate(db, steps.slice(0, 1))
    expect(() => migrate(db, [...steps, 'CREATE TABLE two (a); SYNTAX'])).toThrow()
    expect(db.pragma('user_version', { simple: true })).toBe(3)
    expect(db.prepare('SELECT * FROM one').all()).toEqual([{ a: 1, b: 2 }])
    expect(db.prepare("SELECT name FROM sqlite_schema WHERE name = 'two'").all()).toEqual([])
    migrate(db, steps)
    expect(db.prepare('SELECT count(*) FROM one').pluck().get()).toBe(1)
    db.close()
  })

  it('of version 1 keep their batches, which wanted the balanced harvest', async () => {
    const old = new Database(join(place.dir, 'brinewatch.db'))
    migrate(old, MIGRATIONS.slice(0, 1))
    old.exec(
      `INSERT INTO batch (id, vessel, started_ms, litres, cysts_g, salinity_gpl, lot) VALUES ('b1', 'v1', 5, 1, 2, 25, 'spring')`,
    )
    old.close()
    const store = await place.open()
    expect(await store.batch('b1')).toMatchObject({ cystsG: 2, lot: 'spring', goal: 'balanced' })
    expect(await store.batchEvents('b1')).toEqual([])
    await store.close()
  })

  it('written when each pack was a row of its own are read as they were', async () => {
    const db = new Database(join(place.dir, 'brinewatch.db'))
    migrate(db, MIGRATIONS.slice(0, 1))
    db.exec(`
      INSERT INTO speaker VALUES (1, 'bench-1'), (300, 'bench-2');
      INSERT INTO channel VALUES (1, 1, 'water', 'Cel'), (2, 300, 'water', 'Cel');
      INSERT INTO boot VALUES (7, 1, 'b1', x'0001');
    `)
    const body = (values: readonly number[]) => {
      const out = new ByteWriter()
      for (const value of values)
        writeReading(out, values.length === 1 ? 2 : 1, -20, markOf(Quality.good, false), value)
      return out.view().slice()
    }
    const add = (table: string) =>
      db.prepare(
        `INSERT INTO ${table} (id, speaker, boot, seq, from_ms, received_ms, body) VALUES (?, ?, ?, ?, ?, ?, ?)`,
      )
    add('journal_a').run(4, 1, 7, 2 ** 40, START_MS, START_MS + 20, body([0, -0.1, 1e300]))
    add('journal_b').run(5, 1, 7, 5, START_MS + 1, START_MS + 21, body([]))
    add('journal_b').run(6, 300, null, null, START_MS + 2, START_MS + 22, body([27]))
    db.close()
    const store = await place.open()
    expect(store.seen('bench-1', 'b1')).toEqual([
      [0, 1],
      [5, 5],
      [2 ** 40, 2 ** 40],
    ])
    const values = async () =>
      (await store.samples([source(), source({ device: 'bench-2' })])).map(({ atMs, value }) => [
        atMs - START_MS,
        value,
      ])
    const expected = [
      [0, 0],
      [0, -0.1],
      [0, 1e300],
      [2, 27],
    ]
    expect(await values()).toEqual(expected)
    await store.keepPack(pack(3, { readings: [] }))
    await store.seal('bench-1')
    expect(await values()).toEqual(expected)
    expect(store.seen('bench-1', 'b1')).toHaveLength(4)
    await store.close()
  })

  it('give an alarm kept before it had an action an empty one', async () => {
    const store = await place.open()
    await store.keepAlarm(alarm('old'))
    await store.keepAlarm(alarm('new'))
    await store.close()
    const db = new Database(join(place.dir, 'brinewatch.db'))
    db.exec("UPDATE alarm SET json = json_remove(json, '$.action') WHERE id = 'old'")
    db.close()
    const reopened = await place.open()
    const actions = (await reopened.standingAlarms()).map(({ id, action }) => [id, action])
    expect(actions).toEqual([
      ['old', ''],
      ['new', alarm('new').action],
    ])
    await reopened.close()
  })

  it('of a newer version are refused, untouched, and the directory stays free', async () => {
    await (await place.open()).close()
    const db = new Database(join(place.dir, 'brinewatch.db'))
    db.pragma(`user_version = ${MIGRATIONS.length + 1}`)
    for (const readOnly of [true, false]) {
      await expect(place.open(undefined, { readOnly })).rejects.toMatchObject({ code: 'newer-schema' })
    }
    db.pragma(`user_version = ${MIGRATIONS.length}`)
    db.close()
    await (await place.open()).close()
  })

  it('that are no database are refused as corrupt', async () => {
    writeFileSync(
      join(place.dir, 'brinewatch.db'),
      'this is a letter to a friend, not a database at all. '.repeat(100),
    )
    await expect(place.open()).rejects.toMatchObject({ name: 'StoreError', code: 'corrupt' })
  })

  it('are made for their owner alone, and tell of a directory that cannot be made', async () => {
    const dir = join(place.dir, 'new')
    await (await openStore({ dir, threads: false })).close()
    expect(statSync(dir).mode & 0o077).toBe(0)
    writeFileSync(join(place.dir, 'file'), '')
    await expect(openStore({ dir: join(place.dir, 'file', 'below') })).rejects.toMatchObject({
      name: 'StoreError',
    })
    chmodSync(dir, 0o700)
  })

  it('belong to one service: a second is refused until the first is gone, even by kill -9', async () => {
    const { child, next } = startChild('hold', place.dir)
    expect(await next()).toBe('open')
    const refusal = expect(place.open()).rejects
    await refusal.toMatchObject({
      name: 'StoreError',
      code: 'in-use',
      message: expect.stringContaining('--data'),
    })
    // A tool beside the service may add devices and read, but leaves the readings alone.
    const tool = await place.open(undefined, { exclusive: false })
    await tool.addDevice({ name: 'bench-9', secretHash: 's', createdAtMs: START_MS })
    expect(await next()).toBe('bench-9 s')
    await expect(tool.keepPack(pack(1))).rejects.toMatchObject({ code: 'read-only' })
    await expect(tool.seal('bench-1')).rejects.toMatchObject({ code: 'read-only' })
    expect(await tool.samples([source()])).toEqual([])
    await tool.close()
    child.kill('SIGKILL')
    await once(child, 'exit')
    const service = await place.open()
    await expect(place.open()).rejects.toMatchObject({ code: 'in-use' })
    await service.close()
    await (await place.open()).close()
  })

  it('hold every pack that was said to be kept before a kill -9', async () => {
    let least = 1
    for (const round of [0, 1, 2]) {
      const { child, next } = startChild('keep', place.dir)
      expect(await next()).toBe('open')
      let last = -1
      // Far enough that packing goes on while the end comes.
      while (last < least + 300 * (round + 1)) last = Number(await next())
      child.kill('SIGKILL')
      for (let line = await next(); line !== undefined; line = await next())
        if (/^\d+\.$/.test(line)) last = parseInt(line, 10)
      least = last
      const store = await place.open()
      const numbers = (await store.samples([source()])).map(({ atMs }) => (atMs - START_MS) / 1000)
      expect(numbers.slice(0, last + 1)).toEqual(Array.from({ length: last + 1 }, (_, i) => i))
      expect(new Set(numbers).size).toBe(numbers.length)
      expect(store.seen('bench-1', 'b1')).toEqual([[0, numbers.length - 1]])
      await store.close()
    }
  }, 60_000)

  it('held by another process for long are waited for briefly; what could not be kept is said, and works after', async () => {
    const store = await place.open()
    const other = new Database(join(place.dir, 'brinewatch.db'))
    other.exec('BEGIN IMMEDIATE')
    await expect(store.keepPack(pack(1))).rejects.toMatchObject({ name: 'StoreError', code: 'in-use' })
    expect(store.seen('bench-1', 'b1')).toEqual([])
    other.exec('ROLLBACK')
    other.close()
    await store.keepPack(pack(1))
    expect(store.seen('bench-1', 'b1')).toEqual([[1, 1]])
    await store.close()
  })

  it('opened for reading alone give everything and take nothing', async () => {
    const store = await place.open()
    await store.keepPack(pack(1))
    const reader = await place.open(undefined, { readOnly: true })
    expect(await reader.samples([source()])).toHaveLength(1)
    for (const attempt of [
      reader.keepVessel(vessel('v1')),
      reader.keepPack(pack(2)),
      reader.dropReadings(9, []),
    ]) {
      await expect(attempt).rejects.toMatchObject({ code: 'read-only' })
    }
    await reader.close()
    await store.close()
    await expect(openStore({ dir: join(place.dir, 'none'), readOnly: true })).rejects.toMatchObject({
      name: 'StoreError',
    })
    expect(existsSync(join(place.dir, 'none'))).toBe(false)
  })

  it('can be copied whole while the service writes, and the copy is a store', async () => {
    const store = await place.open()
    for (let seq = 0; seq < 50; seq++) await store.keepPack(pack(seq))
    const dir = join(place.dir, 'copy')
    await (await openStore({ dir, threads: false })).close()
    const file = join(dir, 'backup.db')
    await store.backup(file)
    await expect(store.backup(file)).rejects.toMatchObject({ code: 'duplicate' })
    expect(readdirSync(dir).filter(name => name.endsWith('.part'))).toEqual([])
    expect(statSync(file).mode & 0o077).toBe(0)
    await store.close()
    const db = openDatabase(file)
    expect(db.prepare('SELECT count(*) FROM journal_a').pluck().get()).toBe(50)
    db.close()
  })
})
