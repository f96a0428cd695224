import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { migrate } from '../../../broker/store/sqlite/database.ts'
import { MIGRATIONS } from '../../../broker/store/sqlite/schema.ts'

/** The step that makes the books. */
const BEFORE = MIGRATIONS.findIndex(step => step.includes('CREATE TABLE record'))

describe('the step that makes the books', () => {
  it('makes a record of every lot that batches were started from, once each, and of no discarded one', () => {
    const db = new Database(':memory:')
    migrate(db, MIGRATIONS.slice(0, BEFORE))
    const batch = db.prepare(
      `INSERT INTO batch (id, vessel, started_ms, ended_ms, litres, cysts_g, salinity_gpl, lot, goal, note, discarded_ms)
       VALUES (?, 'v1', ?, NULL, 1, 2, 25, ?, 'balanced', NULL, ?)`,
    )
    batch.run('b1', 500, 'it’s "spring"', null)
    batch.run('b2', 300, 'it’s "spring"', null)
    batch.run('b3', 400, 'autumn', null)
    batch.run('b4', 100, 'slip', 200)
    batch.run('b5', 100, null, null)
    migrate(db)
    const records = db
      .prepare('SELECT kind, id, created_ms, ended_ms, json FROM record ORDER BY created_ms')
      .all()
    expect(records).toMatchObject([
      { kind: 'lot', created_ms: 300, ended_ms: null, json: '{"name":"it’s \\"spring\\""}' },
      { kind: 'lot', created_ms: 400, ended_ms: null, json: '{"name":"autumn"}' },
    ])
    expect(new Set(records.map(row => (row as { id: string }).id)).size).toBe(2)
    db.close()
  })
})
