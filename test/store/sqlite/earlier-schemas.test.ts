import { mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { gunzipSync } from 'node:zlib'
import Database from 'better-sqlite3'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { migrate, openDatabase, type Db } from '../../../broker/store/sqlite/database.ts'
import { openStore } from '../../../broker/store/sqlite/open.ts'
import { MIGRATIONS } from '../../../broker/store/sqlite/schema.ts'
import {
  alarm,
  assignment,
  batch,
  batchEvent,
  DAY_MS,
  delivery,
  entry,
  pack,
  photo,
  record,
  source,
  START_MS,
  unreadable,
  vessel,
} from '../examples.ts'
import { isFaulty, PACKS, waterAt } from '../fixtures/packs.ts'
import { sqlitePlace, type SqlitePlace } from './place.ts'

const FIXTURES = new URL('../fixtures/', import.meta.url).pathname
/** Never run by itself: its file is the one before, brought a step further. */
const NEVER_RUN = 5

function fixture(version: number): Buffer {
  const file = version === NEVER_RUN ? version - 1 : version
  return gunzipSync(readFileSync(join(FIXTURES, `schema-${file}.db.gz`)))
}

const versions = Array.from({ length: MIGRATIONS.length }, (_, at) => at + 1)

const tables = (db: Db): unknown[] =>
  db
    .prepare("SELECT name, sql FROM sqlite_schema WHERE name NOT LIKE 'sqlite_%' ORDER BY name")
    .all()
    .map(row => JSON.stringify(row).replace(/(\\n|\s)+/g, ' '))

describe('a database of an earlier version', () => {
  let place: SqlitePlace
  beforeEach(async () => {
    place = await sqlitePlace()
  })
  afterEach(() => place.dispose())

  /** Puts the file of a version where the service will look for it. */
  function put(version: number): void {
    mkdirSync(place.dir, { recursive: true })
    const file = join(place.dir, 'brinewatch.db')
    writeFileSync(file, fixture(version))
    const db = new Database(file)
    if (version === NEVER_RUN) migrate(db, MIGRATIONS.slice(0, NEVER_RUN))
    expect(db.pragma('user_version', { simple: true })).toBe(version)
    db.close()
  }

  it('is kept for each version that there was', () => {
    const kept = readdirSync(FIXTURES).filter(name => name.endsWith('.gz'))
    expect(kept.sort()).toEqual(
      versions
        .filter(version => version !== NEVER_RUN)
        .map(version => `schema-${version}.db.gz`)
        .sort(),
    )
  })

  it.each(versions)('%i becomes the same tables as a new one', version => {
    put(version)
    const old = openDatabase(join(place.dir, 'brinewatch.db'))
    const fresh = openDatabase(join(place.dir, 'fresh.db'))
    expect(tables(old)).toEqual(tables(fresh))
    old.close()
    fresh.close()
  })

  it('of this version was written with its last step as it is: else run `npm run keep-schema`', () => {
    put(MIGRATIONS.length)
    const kept = new Database(join(place.dir, 'brinewatch.db'))
    const fresh = openDatabase(join(place.dir, 'fresh.db'))
    expect(tables(kept)).toEqual(tables(fresh))
    kept.close()
    fresh.close()
  })

  it.each(versions)('%i opens, and all that it held is there', async version => {
    put(version)
    const store = await openStore({ dir: place.dir, clock: () => START_MS + 10 * DAY_MS, threads: false })
    try {
      expect(await store.vessels()).toEqual([
        vessel('v1'),
        vessel('v2', { name: 'Old cone', litres: 20, retiredAtMs: START_MS + 5 }),
      ])
      expect(await store.assignments()).toMatchObject([
        assignment('a1', { channel: 'water' }),
        assignment('a2', { role: 'air', channel: 'air', offset: 0, toMs: START_MS + 7_200_000 }),
      ])
      expect(await store.batches()).toMatchObject([
        batch('b1', { note: 'the first' }),
        batch('b2', {
          startedAtMs: START_MS - DAY_MS,
          endedAtMs: START_MS - 1,
          lot: 'autumn',
          cystsG: 2.25,
        }),
      ])
      const water = await store.samples([source()])
      expect(water.map(({ atMs }) => atMs)).toEqual(
        Array.from({ length: PACKS }, (_, seq) => START_MS + seq * 1000),
      )
      expect(water.map(({ value }) => value)).toEqual(Array.from({ length: PACKS }, (_, seq) => waterAt(seq)))
      const air = await store.samples([source({ channel: 'air' })])
      expect(air.map(({ value, quality }) => [value, quality])).toEqual(
        Array.from({ length: PACKS }, (_, seq) => (isFaulty(seq) ? [null, 'reported-fault'] : [0.5, 'good'])),
      )
      expect(store.seen('bench-1', 'b1')).toEqual([[0, PACKS - 1]])
      expect((await store.quarantine(9)).map(({ detail }) => detail)).toEqual(
        [3, 2, 1].map(n => unreadable(n).detail),
      )
      expect(await store.ruleMemory()).toEqual([{ vesselId: 'v1', json: '{"v":1,"kept":true}' }])
      expect(await store.standingAlarms()).toEqual([alarm('standing')])
      expect((await store.alarms({ limit: 9 })).map(({ id }) => id)).toEqual(['standing', 'over'])
      expect(await store.document('settings')).toBe('{"heatLimitC":29}')
      expect(await store.deviceSecret('bench-1')).toBe('hash-1')
      const role = version >= 11 ? 'viewer' : 'owner'
      expect(await store.tokens()).toMatchObject([{ name: 'logger', role }])
      expect((await store.audit(9)).map(({ who }) => who)).toEqual(version >= 11 ? ['Ann'] : [])
      expect(await store.session('hash-s')).toMatchObject({
        createdAtMs: START_MS,
        person: version >= 11 ? 'p1' : null,
      })
      if (version >= 2) expect(await store.batchEvents('b1')).toEqual([batchEvent('e1')])
      if (version >= 6) {
        expect(await store.waitingDeliveries()).toEqual([delivery('d1')])
        expect(await store.tellings()).toEqual([{ alarmId: 'standing', json: '{"told":["p1"]}' }])
      }
      if (version >= 7) {
        expect(await store.watchLog({ fromMs: 0, toMs: START_MS + DAY_MS, limit: 9 })).toMatchObject([
          { kind: 'alarm', alarmId: 'standing', json: '{"to":"unacknowledged"}' },
        ])
      }
      if (version >= 8) {
        expect(await store.records('lot')).toEqual([record('winter')])
        expect(await store.entries('weighing')).toEqual([entry('w1')])
        expect(await store.photo('p1')).toMatchObject({ media: 'image/jpeg', body: photo('p1').body })
      } else {
        expect((await store.records('lot')).map(({ json }) => json).sort()).toEqual([
          '{"name":"autumn"}',
          '{"name":"spring"}',
        ])
      }
      await store.keepPack(pack(PACKS))
      await store.seal('bench-1')
      expect(await store.samples([source()])).toHaveLength(PACKS + 1)
    } finally {
      await store.close()
    }
  })
})
