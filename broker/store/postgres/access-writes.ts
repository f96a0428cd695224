import { StoreError, StoreErrorCode } from '../contract.ts'
import { MOST_SESSIONS } from '../limits.ts'
import type { RecordWrites } from '../writes.ts'
import type { WritersOf } from './record-writes.ts'
import { upsert } from './upsert.ts'

const TOKEN = upsert('token', ['name', 'hash', 'created_ms', 'role'], ['name'])
const RECORD = upsert(
  'record',
  ['kind', 'id', 'created_ms', 'changed_ms', 'ended_ms', 'json'],
  ['kind', 'id'],
)
const ENTRY = upsert(
  'entry',
  ['id', 'book', 'subject', 'at_ms', 'recorded_ms', '"by"', 'json', 'withdrawn_ms'],
  ['id'],
)
const PHOTO = upsert('photo', ['id', 'batch', 'media', 'created_ms', 'bytes', 'body'], ['id'], [])

type Other =
  | 'record'
  | 'dropRecord'
  | 'entry'
  | 'photo'
  | 'device'
  | 'revoke'
  | 'removeDevice'
  | 'offerSecret'
  | 'takeSecret'
  | 'token'
  | 'dropToken'
  | 'session'
  | 'dropSession'
  | 'dropExpiredSessions'

/** The breeder's books, and who may speak and who may look. */
export const accessWrites: Pick<WritersOf<RecordWrites>, Other> = {
  async record(sql, { kind, id, createdAtMs, changedAtMs, endedAtMs, json }) {
    await sql.rows(RECORD, [kind, id, createdAtMs, changedAtMs, endedAtMs, json])
  },
  async dropRecord(sql, { kind, id }) {
    await sql.rows('DELETE FROM record WHERE kind = $1 AND id = $2', [kind, id])
  },
  async entry(sql, { id, book, subject, atMs, recordedAtMs, by, json, withdrawnAtMs }) {
    await sql.rows(ENTRY, [id, book, subject, atMs, recordedAtMs, by, json, withdrawnAtMs])
  },
  async photo(sql, { id, batchId, media, createdAtMs, body }) {
    await sql.rows(PHOTO, [id, batchId, media, createdAtMs, body.byteLength, body])
  },

  async device(sql, { name, secretHash, createdAtMs }) {
    // In one statement: another process may add the same name at the same moment.
    const added = await sql.rows(
      `INSERT INTO device (name, secret_hash, created_ms) VALUES ($1, $2, $3)
       ON CONFLICT (name) DO UPDATE SET secret_hash = excluded.secret_hash, created_ms = excluded.created_ms,
         revoked_ms = NULL, removed_ms = NULL, offered_hash = NULL, offered_until_ms = NULL
       WHERE device.revoked_ms IS NOT NULL RETURNING 1`,
      [name, secretHash, createdAtMs],
    )
    if (added.length > 0) return
    throw new StoreError(
      StoreErrorCode.duplicate,
      `Cannot add device: its name must be free, got ${name}, which another device has`,
    )
  },
  revoke: (sql, { name, atMs }) =>
    did(
      sql.rows(
        `UPDATE device SET revoked_ms = $1, offered_hash = NULL, offered_until_ms = NULL
         WHERE name = $2 AND revoked_ms IS NULL RETURNING 1`,
        [atMs, name],
      ),
    ),
  removeDevice: (sql, { name, atMs }) =>
    did(
      sql.rows(
        `UPDATE device SET removed_ms = $1 WHERE name = $2 AND revoked_ms IS NOT NULL AND removed_ms IS NULL RETURNING 1`,
        [atMs, name],
      ),
    ),
  offerSecret: (sql, { name, secretHash, untilMs }) =>
    did(
      sql.rows(
        `UPDATE device SET offered_hash = $1, offered_until_ms = $2 WHERE name = $3 AND revoked_ms IS NULL RETURNING 1`,
        [secretHash, untilMs, name],
      ),
    ),
  takeSecret: (sql, { name, secretHash }) =>
    did(
      sql.rows(
        `UPDATE device SET secret_hash = offered_hash, offered_hash = NULL, offered_until_ms = NULL
         WHERE name = $1 AND revoked_ms IS NULL AND offered_hash = $2 RETURNING 1`,
        [name, secretHash],
      ),
    ),
  async token(sql, { name, hash, createdAtMs, role }) {
    await sql.rows(TOKEN, [name, hash, createdAtMs, role])
  },
  dropToken: (sql, name) => did(sql.rows('DELETE FROM token WHERE name = $1 RETURNING 1', [name])),
  async session(sql, { hash, createdAtMs, expiresAtMs, person, address, agent }) {
    await sql.rows(
      `WITH gone AS (DELETE FROM session WHERE hash = $1)
       INSERT INTO session (hash, created_ms, expires_ms, person, address, agent) VALUES ($1, $2, $3, $4, $5, $6)`,
      [hash, createdAtMs, expiresAtMs, person, address, agent],
    )
    return `DELETE FROM session WHERE n IN
      (SELECT n FROM session ORDER BY expires_ms DESC, n DESC OFFSET ${MOST_SESSIONS})`
  },
  async dropSession(sql, hash) {
    await sql.rows('DELETE FROM session WHERE hash = $1', [hash])
  },
  async dropExpiredSessions(sql, nowMs) {
    await sql.rows('DELETE FROM session WHERE expires_ms < $1', [nowMs])
  },
}

async function did(rows: Promise<unknown[]>): Promise<boolean> {
  return (await rows).length > 0
}
