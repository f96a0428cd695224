import { QUARANTINE_PAYLOAD_BYTES } from '../../intake/reading.ts'
import { endOfAlarm } from '../kept-alarm.ts'
import {
  MOST_DELIVERED,
  MOST_DONE,
  MOST_FAILED,
  MOST_QUARANTINED,
  MOST_WATCH_ROWS,
  WATCH_LOOK_EVERY,
} from '../limits.ts'
import type { RecordWrites } from '../writes.ts'
import type { WritersOf } from './record-writes.ts'
import { upsert } from './upsert.ts'

const VESSEL = upsert('vessel', ['id', 'name', 'litres', 'created_ms', 'retired_ms'], ['id'])
const ASSIGNMENT = upsert(
  'assignment',
  ['id', 'vessel', 'role', 'device', 'channel', '"offset"', 'gain', 'uncertainty', 'from_ms', 'to_ms'],
  ['id'],
)
const BATCH = upsert(
  'batch',
  ['id', 'vessel', 'started_ms', 'ended_ms', 'litres', 'cysts_g', 'salinity_gpl', 'lot', 'goal', 'note'],
  ['id'],
)
const EVENT = upsert(
  'batch_event',
  ['id', 'batch', 'at_ms', 'recorded_ms', '"by"', 'kind', 'json', 'withdrawn_ms'],
  ['id'],
)
const ALARM = upsert('alarm', ['id', 'vessel', 'rule', 'priority', 'raised_ms', 'ended_ms', 'json'], ['id'])
const MEMORY = upsert('rule_memory', ['vessel', 'json'], ['vessel'])
const DOCUMENT = upsert('document', ['key', 'json'], ['key'])
const DELIVERY = upsert(
  'delivery',
  [
    'id',
    'alarm',
    'person',
    'channel',
    'created_ms',
    'state',
    'attempts',
    'next_ms',
    'done_ms',
    'error',
    'json',
  ],
  ['id'],
  ['state', 'attempts', 'next_ms', 'done_ms', 'error', 'json'],
)
const TELLING = upsert('telling', ['alarm', 'json'], ['alarm'])

type RoomKind =
  | 'vessel'
  | 'assignment'
  | 'batch'
  | 'discardBatch'
  | 'batchEvent'
  | 'alarm'
  | 'watch'
  | 'dropEndedAlarms'
  | 'ruleMemory'
  | 'document'
  | 'quarantine'
  | 'delivery'
  | 'telling'
  | 'audit'

/** What the room and its watch keep. */
export const roomWrites: Pick<WritersOf<RecordWrites>, RoomKind> = {
  async vessel(sql, { id, name, litres, createdAtMs, retiredAtMs }) {
    await sql.rows(VESSEL, [id, name, litres, createdAtMs, retiredAtMs])
  },
  async assignment(sql, row) {
    const { id, vesselId, role, device, channel, offset, gain = 1, uncertainty = null, fromMs, toMs } = row
    await sql.rows(ASSIGNMENT, [id, vesselId, role, device, channel, offset, gain, uncertainty, fromMs, toMs])
  },
  async batch(sql, row) {
    const { id, vesselId, startedAtMs, endedAtMs, litres, cystsG, salinityGpl, lot, goal, note } = row
    const values = [id, vesselId, startedAtMs, endedAtMs, litres, cystsG, salinityGpl, lot, goal, note]
    await sql.rows(BATCH, values)
  },
  async discardBatch(sql, { id, atMs }) {
    await sql.rows('UPDATE batch SET discarded_ms = $1 WHERE id = $2', [atMs, id])
  },
  async batchEvent(sql, { id, batchId, atMs, recordedAtMs, by, kind, json, withdrawnAtMs }) {
    await sql.rows(EVENT, [id, batchId, atMs, recordedAtMs, by, kind, json, withdrawnAtMs])
  },
  async alarm(sql, alarm) {
    const { id, vesselId, rule, priority, raisedAtMs } = alarm
    await sql.rows(ALARM, [
      id,
      vesselId,
      rule,
      priority,
      raisedAtMs,
      endOfAlarm(alarm),
      JSON.stringify(alarm),
    ])
  },
  async watch(sql, { kind, atMs, vesselId, alarmId, json }) {
    const [row] = await sql.rows<{ id: number }>(
      'INSERT INTO watch_log (kind, at_ms, vessel, alarm, json) VALUES ($1, $2, $3, $4, $5) RETURNING id',
      [kind, atMs, vesselId, alarmId, json],
    )
    if (row!.id % WATCH_LOOK_EVERY === 0)
      await sql.rows('DELETE FROM watch_log WHERE id <= $1', [row!.id - MOST_WATCH_ROWS])
  },
  async dropEndedAlarms(sql, beforeMs) {
    await sql.rows('DELETE FROM alarm WHERE ended_ms IS NOT NULL AND ended_ms < $1', [beforeMs])
    await sql.rows('DELETE FROM watch_log WHERE at_ms < $1', [beforeMs])
  },
  async ruleMemory(sql, { vesselId, json }) {
    await sql.rows(MEMORY, [vesselId, json])
  },
  async document(sql, { key, json }) {
    await sql.rows(DOCUMENT, [key, json])
  },
  async quarantine(sql, { receivedAtMs, device, topic, reason, detail, payload, bytes }) {
    await sql.rows(
      `INSERT INTO quarantine (received_ms, device, topic, reason, detail, payload, bytes)
       VALUES ($1, $2, $3, $4, $5, $6, $7)`,
      [receivedAtMs, device, topic, reason, detail, payload.subarray(0, QUARANTINE_PAYLOAD_BYTES), bytes],
    )
    return `DELETE FROM quarantine WHERE id <= (SELECT id FROM quarantine ORDER BY id DESC OFFSET ${MOST_QUARANTINED} LIMIT 1)`
  },
  async delivery(sql, row) {
    const { id, alarmId, personId, channel, createdAtMs, state, attempts, nextAtMs, doneAtMs, error, json } =
      row
    await sql.rows(DELIVERY, [
      id,
      alarmId,
      personId,
      channel,
      createdAtMs,
      state,
      attempts,
      nextAtMs,
      doneAtMs,
      error,
      json,
    ])
    if (doneAtMs === null) return
    return `DELETE FROM delivery WHERE done_ms IS NOT NULL AND (done_ms, n) <=
      (SELECT done_ms, n FROM delivery WHERE done_ms IS NOT NULL ORDER BY done_ms DESC, n DESC OFFSET ${MOST_DELIVERED} LIMIT 1)`
  },
  async telling(sql, { alarmId, json }) {
    if (json === null) await sql.rows('DELETE FROM telling WHERE alarm = $1', [alarmId])
    else await sql.rows(TELLING, [alarmId, json])
  },
  async audit(sql, { atMs, act, subject, who, role, address, failed }) {
    await sql.rows(
      'INSERT INTO audit (at_ms, act, subject, who, role, address, failed) VALUES ($1, $2, $3, $4, $5, $6, $7)',
      [atMs, act, subject, who, role, address, failed],
    )
    return `DELETE FROM audit WHERE failed = ${failed} AND id <=
      (SELECT id FROM audit WHERE failed = ${failed} ORDER BY id DESC OFFSET ${failed ? MOST_FAILED : MOST_DONE} LIMIT 1)`
  },
}
