import type { DeviceColumns, SecretColumns } from '../access-columns.ts'
import type { EntryRow, PhotoRow, RecordRow } from '../books-contract.ts'
import type { AuditRow, BatchEventRow, SessionRow, TokenRow } from '../contract.ts'
import type { Records } from '../records.ts'
import { EVENT_COLUMNS } from './room-records.ts'
import type { Sql } from './sql.ts'

const SESSION = `SELECT hash, created_ms AS "createdAtMs", expires_ms AS "expiresAtMs", person, address, agent FROM session`

type OtherRecords = Pick<
  Records,
  | 'records'
  | 'entries'
  | 'photo'
  | 'photoTotals'
  | 'eventsOfKind'
  | 'devices'
  | 'deviceSecret'
  | 'deviceSecrets'
  | 'tokens'
  | 'session'
  | 'sessions'
  | 'audit'
>

export function accessRecords(sql: Sql): OtherRecords {
  const secretOf = async (name: string): Promise<SecretColumns | undefined> =>
    (
      await sql.rows<SecretColumns>(
        `SELECT secret_hash AS current, offered_hash AS offered, offered_until_ms AS "untilMs" FROM device
         WHERE name = $1 AND revoked_ms IS NULL`,
        [name],
      )
    )[0]
  return {
    records: kind =>
      sql.rows<RecordRow>(
        `SELECT kind, id, created_ms AS "createdAtMs", changed_ms AS "changedAtMs", ended_ms AS "endedAtMs", json
         FROM record WHERE kind = $1 ORDER BY created_ms, n`,
        [kind],
      ),
    entries: book =>
      sql.rows<EntryRow>(
        `SELECT id, book, subject, at_ms AS "atMs", recorded_ms AS "recordedAtMs", "by", json,
           withdrawn_ms AS "withdrawnAtMs" FROM entry WHERE book = $1 ORDER BY at_ms, n`,
        [book],
      ),
    async photo(id) {
      const [row] = await sql.rows<Omit<PhotoRow, 'body'> & { body: Buffer }>(
        `SELECT id, batch AS "batchId", media, created_ms AS "createdAtMs", body FROM photo WHERE id = $1`,
        [id],
      )
      return row && { ...row, body: new Uint8Array(row.body) }
    },
    async photoTotals(batchId) {
      const [row] = await sql.rows<{ ofBatch: number; bytes: number }>(
        `SELECT count(*) FILTER (WHERE batch = $1) AS "ofBatch", coalesce(sum(bytes), 0)::bigint AS bytes FROM photo`,
        [batchId],
      )
      return row ?? { ofBatch: 0, bytes: 0 }
    },
    eventsOfKind: (kind, sinceMs) =>
      sql.rows<BatchEventRow>(
        `SELECT ${EVENT_COLUMNS} FROM batch_event e JOIN batch b ON b.id = e.batch AND b.discarded_ms IS NULL
         WHERE e.kind = $1 AND e.at_ms >= $2 ORDER BY e.at_ms, e.n`,
        [kind, sinceMs],
      ),
    async devices() {
      const rows = await sql.rows<DeviceColumns>(
        `SELECT name, created_ms AS "createdAtMs", revoked_ms AS "revokedAtMs", removed_ms AS "removedAtMs",
           offered_until_ms AS "offeredUntilMs" FROM device ORDER BY created_ms, n`,
      )
      return rows.map(({ removedAtMs, offeredUntilMs, ...row }) => ({
        ...row,
        ...(removedAtMs === null ? {} : { removedAtMs }),
        ...(offeredUntilMs === null ? {} : { offeredUntilMs }),
      }))
    },
    deviceSecret: async name => (await secretOf(name))?.current,
    async deviceSecrets(name) {
      const row = await secretOf(name)
      if (row === undefined) return undefined
      const { current, offered, untilMs } = row
      return { current, offered: offered === null ? null : { secretHash: offered, untilMs: untilMs ?? 0 } }
    },
    tokens: () =>
      sql.rows<TokenRow>(
        'SELECT name, hash, created_ms AS "createdAtMs", role FROM token ORDER BY created_ms, n',
      ),
    session: async hash => (await sql.rows<SessionRow>(`${SESSION} WHERE hash = $1`, [hash]))[0],
    sessions: () => sql.rows<SessionRow>(`${SESSION} ORDER BY created_ms DESC, n DESC`),
    audit: (limit, beforeId = Number.MAX_SAFE_INTEGER) =>
      sql.rows<AuditRow>(
        `SELECT id, at_ms AS "atMs", act, subject, who, role, address, failed FROM audit
         WHERE id < $1 ORDER BY id DESC LIMIT $2`,
        [beforeId, limit],
      ),
  }
}
