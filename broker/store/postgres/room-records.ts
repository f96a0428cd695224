import type {
  AssignmentRow,
  BatchEventRow,
  BatchRow,
  DeliveryRow,
  QuarantineRow,
  RuleMemory,
  TellingRow,
  VesselRow,
  WatchRow,
} from '../contract.ts'
import { readAlarm } from '../kept-alarm.ts'
import type { Records } from '../records.ts'
import type { Sql } from './sql.ts'

const BATCH = `SELECT id, vessel AS "vesselId", started_ms AS "startedAtMs", ended_ms AS "endedAtMs", litres,
  cysts_g AS "cystsG", salinity_gpl AS "salinityGpl", lot, goal, note FROM batch`
const DELIVERY = `SELECT id, alarm AS "alarmId", person AS "personId", channel, created_ms AS "createdAtMs", state,
  attempts, next_ms AS "nextAtMs", done_ms AS "doneAtMs", error, json FROM delivery`
export const EVENT_COLUMNS = `e.id, e.batch AS "batchId", e.at_ms AS "atMs", e.recorded_ms AS "recordedAtMs", e."by", e.kind,
  e.json, e.withdrawn_ms AS "withdrawnAtMs"`
const WATCH = `SELECT kind, at_ms AS "atMs", vessel AS "vesselId", alarm AS "alarmId", json FROM watch_log
  WHERE at_ms >= $1 AND at_ms < $2 AND ($3::text[] IS NULL OR kind = ANY ($3))`

/** An assignment as its row holds it. */
type Kept = Omit<AssignmentRow, 'gain' | 'uncertainty'> & {
  readonly gain: number
  readonly uncertainty: number | null
}

type RoomRecords = Pick<
  Records,
  | 'quarantine'
  | 'ruleMemory'
  | 'standingAlarms'
  | 'alarms'
  | 'watchLog'
  | 'vessels'
  | 'assignments'
  | 'batches'
  | 'batch'
  | 'lots'
  | 'batchEvents'
  | 'waitingDeliveries'
  | 'deliveries'
  | 'tellings'
  | 'document'
>

export function roomRecords(sql: Sql): RoomRecords {
  return {
    async quarantine(limit, beforeId = Number.MAX_SAFE_INTEGER) {
      const rows = await sql.rows<Omit<QuarantineRow, 'payload'> & { payload: Buffer }>(
        `SELECT id, received_ms AS "receivedAtMs", device, topic, reason, detail, payload, bytes FROM quarantine
         WHERE id < $1 ORDER BY id DESC LIMIT $2`,
        [beforeId, limit],
      )
      return rows.map(row => ({ ...row, payload: new Uint8Array(row.payload) }))
    },
    ruleMemory: () =>
      sql.rows<RuleMemory>('SELECT vessel AS "vesselId", json FROM rule_memory ORDER BY vessel COLLATE "C"'),
    async standingAlarms() {
      const rows = await sql.rows<{ json: string }>(
        'SELECT json FROM alarm WHERE ended_ms IS NULL ORDER BY raised_ms, n',
      )
      return rows.map(({ json }) => readAlarm(json))
    },
    async alarms({ vesselId, rule, priority, beforeMs, sinceMs, skip, limit }) {
      const rows = await sql.rows<{ json: string }>(
        `SELECT json FROM alarm WHERE raised_ms < $1 AND (ended_ms IS NULL OR ended_ms >= $2)
           AND ($3::text IS NULL OR rule = $3) AND ($4::text IS NULL OR priority = $4)
           AND ($5::text IS NULL OR vessel = $5)
         ORDER BY raised_ms DESC, n DESC LIMIT $6 OFFSET $7`,
        [
          beforeMs ?? Infinity,
          sinceMs ?? -Infinity,
          rule ?? null,
          priority ?? null,
          vesselId ?? null,
          limit,
          skip ?? 0,
        ],
      )
      return rows.map(({ json }) => readAlarm(json))
    },
    async watchLog({ fromMs, toMs, kinds, limit, newest = false }) {
      const order = newest ? 'at_ms DESC, id DESC' : 'at_ms, id'
      const rows = await sql.rows<WatchRow>(`${WATCH} ORDER BY ${order} LIMIT $4`, [
        fromMs,
        toMs,
        kinds ?? null,
        limit,
      ])
      return newest ? rows.reverse() : rows
    },
    vessels: () =>
      sql.rows<VesselRow>(
        `SELECT id, name, litres, created_ms AS "createdAtMs", retired_ms AS "retiredAtMs" FROM vessel
         ORDER BY created_ms, n`,
      ),
    async assignments() {
      const rows = await sql.rows<Kept>(
        `SELECT id, vessel AS "vesselId", role, device, channel, "offset", gain, uncertainty, from_ms AS "fromMs",
           to_ms AS "toMs" FROM assignment ORDER BY from_ms, n`,
      )
      return rows.map(({ gain, uncertainty, ...row }) => ({
        ...row,
        ...(gain === 1 ? {} : { gain }),
        ...(uncertainty === null ? {} : { uncertainty }),
      }))
    },
    batches: ({ vesselId, lot, open, limit } = {}) =>
      sql.rows<BatchRow>(
        `${BATCH} WHERE discarded_ms IS NULL AND ($1::text IS NULL OR vessel = $1) AND ($2::text IS NULL OR lot = $2)
           AND ($3::boolean IS NULL OR (ended_ms IS NULL) = $3)
         ORDER BY started_ms DESC, n DESC LIMIT $4`,
        [vesselId ?? null, lot ?? null, open ?? null, limit ?? null],
      ),
    batch: async id => (await sql.rows<BatchRow>(`${BATCH} WHERE id = $1 AND discarded_ms IS NULL`, [id]))[0],
    lots: () =>
      sql.rows<{ name: string; batches: number; lastUsedAtMs: number }>(
        `SELECT lot AS name, count(*) AS batches, max(started_ms) AS "lastUsedAtMs" FROM batch
         WHERE lot IS NOT NULL AND discarded_ms IS NULL
         GROUP BY lot ORDER BY max(started_ms) DESC, lot COLLATE "C"`,
      ),
    batchEvents: batchId =>
      sql.rows<BatchEventRow>(
        `SELECT ${EVENT_COLUMNS} FROM batch_event e WHERE e.batch = $1 ORDER BY e.at_ms, e.n`,
        [batchId],
      ),
    waitingDeliveries: () =>
      sql.rows<DeliveryRow>(`${DELIVERY} WHERE done_ms IS NULL ORDER BY created_ms, n`),
    deliveries: limit => sql.rows<DeliveryRow>(`${DELIVERY} ORDER BY n DESC LIMIT $1`, [limit]),
    tellings: () =>
      sql.rows<TellingRow>('SELECT alarm AS "alarmId", json FROM telling ORDER BY alarm COLLATE "C"'),
    document: async key =>
      (await sql.rows<{ json: string }>('SELECT json FROM document WHERE key = $1', [key]))[0]?.json,
  }
}
