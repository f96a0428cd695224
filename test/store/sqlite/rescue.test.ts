import {
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { join } from 'node:path'
import { gunzipSync } from 'node:zlib'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { backupsAmong, nameBackup } from '../../../broker/store/backups/names.ts'
import { openDatabase } from '../../../broker/store/sqlite/database.ts'
import { damageOf } from '../../../broker/store/sqlite/rescue.ts'
import { MIGRATIONS } from '../../../broker/store/sqlite/schema.ts'
import { DAY_MS, pack, source, START_MS, vessel } from '../examples.ts'
import { sqlitePlace, type SqlitePlace } from './place.ts'

const DATABASE = 'brinewatch.db'

describe('a damaged database', () => {
  let place: SqlitePlace
  let backupsDir: string
  let file: string
  const nowMs = START_MS + 3 * DAY_MS
  const open = () => place.open(() => nowMs, { backupsDir })
  beforeEach(async () => {
    place = await sqlitePlace()
    backupsDir = join(place.dir, 'backups')
    file = join(place.dir, DATABASE)
    mkdirSync(backupsDir)
    const store = await open()
    await store.keepVessel(vessel('v1'))
    await Promise.all(Array.from({ length: 2000 }, (_, seq) => store.keepPack(pack(seq))))
    await store.backup(join(backupsDir, nameBackup(START_MS + DAY_MS)))
    await store.keepVessel(vessel('v2'))
    await store.backup(join(backupsDir, nameBackup(START_MS + 2 * DAY_MS)))
    await store.keepVessel(vessel('v3'))
    await store.close()
  })
  afterEach(() => place.dispose())

  /** Overwrites pages in the middle, as a worn memory card does. */
  function spoil(path: string): void {
    const bytes = readFileSync(path)
    bytes.fill(0xa5, 4096, Math.min(bytes.length, 6 * 4096))
    writeFileSync(path, bytes)
  }

  it('is replaced by the newest backup, is kept as it was, and the service says so', async () => {
    spoil(file)
    const spoilt = readFileSync(file)
    expect(damageOf(file)).not.toBeNull()
    const store = await open()
    expect(store.rescue).toMatchObject({
      keptIn: join(place.dir, 'damaged-2026-01-13T120000Z'),
      restoredFrom: join(backupsDir, nameBackup(START_MS + 2 * DAY_MS)),
      restoredAtMs: START_MS + 2 * DAY_MS,
    })
    expect((await store.vessels()).map(({ id }) => id)).toEqual(['v1', 'v2'])
    expect(await store.samples([source()])).toHaveLength(2000)
    await store.close()
    expect(readFileSync(join(store.rescue!.keptIn, DATABASE)).equals(spoilt)).toBe(true)
    const again = await open()
    expect(again.rescue).toBeNull()
    await again.close()
  })

  it.each([
    ['cut short', (bytes: Buffer) => bytes.subarray(0, bytes.length - 5 * 4096)],
    ['cut within a page', (bytes: Buffer) => bytes.subarray(0, 10_000)],
    ['without a head', (bytes: Buffer) => Buffer.concat([Buffer.alloc(100), bytes.subarray(100)])],
    ['emptied', () => Buffer.alloc(0)],
    ['all zeros', (bytes: Buffer) => Buffer.alloc(bytes.length)],
  ])('%s is found', async (_how, spoiled) => {
    writeFileSync(file, spoiled(readFileSync(file)))
    const store = await open()
    expect(store.rescue).not.toBeNull()
    expect((await store.vessels()).map(({ id }) => id)).toEqual(['v1', 'v2'])
    await store.close()
  })

  it('is not replaced by a backup that is damaged as well: the one before serves', async () => {
    spoil(file)
    spoil(join(backupsDir, nameBackup(START_MS + 2 * DAY_MS)))
    const store = await open()
    expect(store.rescue).toMatchObject({ restoredAtMs: START_MS + DAY_MS })
    expect((await store.vessels()).map(({ id }) => id)).toEqual(['v1'])
    await store.close()
  })

  it('without a sound backup is refused, with what to do, and left as it is', async () => {
    spoil(file)
    for (const { name } of backupsAmong(readdirSync(backupsDir))) spoil(join(backupsDir, name))
    const before = readFileSync(file)
    await expect(open()).rejects.toMatchObject({
      code: 'corrupt',
      message: expect.stringMatching(/no sound backup lies in .*Nothing was changed.*restore FILE/s),
    })
    await expect(place.open(() => nowMs, { backupsDir: null })).rejects.toMatchObject({
      message: expect.stringContaining('backups are switched off'),
    })
    expect(readFileSync(file).equals(before)).toBe(true)
    expect(readdirSync(place.dir).filter(name => name.startsWith('damaged'))).toEqual([])
  })

  it('whose replacing broke off at any step is replaced by the next start', async () => {
    spoil(file)
    const sound = join(backupsDir, nameBackup(START_MS + 2 * DAY_MS))
    const ready = `${file}.restored`
    // Copied, but the damaged one not moved yet: the copy may be half.
    writeFileSync(ready, readFileSync(sound).subarray(0, 5000))
    const first = await open()
    expect(first.rescue).not.toBeNull()
    await first.close()
    // Moved away, but the copy not put in its place.
    renameSync(file, ready)
    const second = await open()
    expect((await second.vessels()).map(({ id }) => id)).toEqual(['v1', 'v2'])
    expect(existsSync(ready)).toBe(false)
    await second.close()
  })

  it('is never backed up', async () => {
    const store = await open()
    const copy = join(backupsDir, nameBackup(START_MS + 3 * DAY_MS))
    spoil(file)
    await expect(store.backup(copy)).rejects.toMatchObject({ code: 'corrupt' })
    expect(existsSync(copy)).toBe(false)
    await store.close().catch(() => undefined)
  })
})

describe('a database that is about to be brought to a newer version', () => {
  let place: SqlitePlace
  beforeEach(async () => {
    place = await sqlitePlace()
  })
  afterEach(() => place.dispose())

  it('is copied before, and the copy is of its old version', async () => {
    const fixture = new URL('../fixtures/schema-7.db.gz', import.meta.url)
    writeFileSync(join(place.dir, DATABASE), gunzipSync(readFileSync(fixture)))
    const backupsDir = join(place.dir, 'backups')
    await (await place.open(() => START_MS, { backupsDir })).close()
    const [copy, ...others] = backupsAmong(readdirSync(backupsDir))
    expect(others).toEqual([])
    expect(copy).toMatchObject({ beforeSchema: MIGRATIONS.length })
    expect(statSync(join(backupsDir, copy!.name)).mode & 0o077).toBe(0)
    // A second start finds nothing to do, and makes no second copy.
    await (await place.open(() => START_MS + DAY_MS, { backupsDir })).close()
    expect(readdirSync(backupsDir)).toHaveLength(1)
    const db = openDatabase(join(backupsDir, copy!.name))
    expect(db.prepare('SELECT count(*) FROM vessel').pluck().get()).toBe(2)
    db.close()
  })

  it('is brought there though no copy can be made', async () => {
    const fixture = new URL('../fixtures/schema-7.db.gz', import.meta.url)
    writeFileSync(join(place.dir, DATABASE), gunzipSync(readFileSync(fixture)))
    writeFileSync(join(place.dir, 'in-the-way'), '')
    const store = await place.open(() => START_MS, { backupsDir: join(place.dir, 'in-the-way') })
    expect(await store.vessels()).toHaveLength(2)
    await store.close()
  })
})
