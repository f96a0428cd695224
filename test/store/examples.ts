import {
  Quality,
  Quantity,
  type PlacedPack,
  type QuarantineEntry,
  type Reading,
} from '../../broker/intake/reading.ts'
import type { EntryRow, PhotoRow, RecordRow } from '../../broker/store/books-contract.ts'
import { AlarmState, PLAIN, Priority, Reason, RuleName, type Alarm } from '../../broker/rules/alarm.ts'
import {
  DeliveryState,
  Role,
  type AssignmentRow,
  type BatchEventRow,
  type BatchRow,
  type DeliveryRow,
  type Source,
  type VesselRow,
} from '../../broker/store/contract.ts'

export const START_MS = Date.UTC(2026, 0, 10, 12)
export const DAY_MS = 86_400_000

export function reading(atMs: number, value: number | null, more: Partial<Reading> = {}): Reading {
  return {
    channel: 'water',
    quantity: Quantity.water,
    unit: 'Cel',
    value,
    quality: Quality.good,
    atMs,
    ...more,
  }
}

/** A pack of one water reading, `seq` seconds after the start. */
export function pack(seq: number, more: Partial<PlacedPack> = {}): PlacedPack {
  const atMs = START_MS + seq * 1000
  return {
    device: 'bench-1',
    boot: 'b1',
    seq,
    receivedAtMs: atMs + 20,
    readings: [reading(atMs, 27 + seq / 16)],
    ...more,
  }
}

export function source(more: Partial<Source> = {}): Source {
  return { device: 'bench-1', channel: 'water', offset: 0, fromMs: 0, toMs: Number.MAX_SAFE_INTEGER, ...more }
}

export function vessel(id: string, more: Partial<VesselRow> = {}): VesselRow {
  return { id, name: `Cone ${id}`, litres: 1.5, createdAtMs: START_MS, retiredAtMs: null, ...more }
}

export function assignment(id: string, more: Partial<AssignmentRow> = {}): AssignmentRow {
  return {
    id,
    vesselId: 'v1',
    role: Role.water,
    device: 'bench-1',
    channel: '2/water',
    offset: -0.25,
    fromMs: START_MS,
    toMs: null,
    ...more,
  }
}

export function batch(id: string, more: Partial<BatchRow> = {}): BatchRow {
  return {
    id,
    vesselId: 'v1',
    startedAtMs: START_MS,
    endedAtMs: null,
    litres: 1,
    cystsG: 1.5,
    salinityGpl: 25,
    lot: 'spring',
    goal: 'balanced',
    note: null,
    ...more,
  }
}

export function batchEvent(id: string, more: Partial<BatchEventRow> = {}): BatchEventRow {
  return {
    id,
    batchId: 'b1',
    atMs: START_MS,
    recordedAtMs: START_MS + 9,
    by: 'somebody',
    kind: 'note',
    json: '{"text":"foam"}',
    withdrawnAtMs: null,
    ...more,
  }
}

export function alarm(id: string, more: Partial<Alarm> = {}): Alarm {
  return {
    id,
    ...PLAIN,
    vesselId: 'v1',
    rule: RuleName.waterTooHot,
    state: AlarmState.unacknowledged,
    priority: Priority.critical,
    raisedAtMs: START_MS,
    announcedAtMs: START_MS,
    clearedAtMs: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    reason: Reason.aboveLimit,
    action: 'Turn the lamp off.',
    text: 'The water is 30.1 °C (86.2 °F). Turn the lamp off.',
    value: 30.1,
    limit: 29.4,
    ...more,
  }
}

export function unreadable(n: number, more: Partial<QuarantineEntry> = {}): QuarantineEntry {
  return {
    receivedAtMs: START_MS + n,
    device: 'bench-1',
    topic: 'brinewatch/v1/bench-1/measurements',
    reason: 'not-senml',
    detail: `message ${n} is not JSON`,
    payload: Uint8Array.of(0x7b, n & 255),
    bytes: 2,
    ...more,
  }
}

export function delivery(id: string, more: Partial<DeliveryRow> = {}): DeliveryRow {
  return {
    id,
    alarmId: 'x1',
    personId: 'p1',
    channel: 'webhook',
    createdAtMs: START_MS,
    state: DeliveryState.waiting,
    attempts: 0,
    nextAtMs: START_MS,
    doneAtMs: null,
    error: null,
    json: '{"title":"Switch the lamp off"}',
    ...more,
  }
}

export function record(id: string, more: Partial<RecordRow> = {}): RecordRow {
  return {
    kind: 'lot',
    id,
    createdAtMs: START_MS,
    changedAtMs: START_MS,
    endedAtMs: null,
    json: `{"name":"${id}"}`,
    ...more,
  }
}

export function entry(id: string, more: Partial<EntryRow> = {}): EntryRow {
  return {
    id,
    book: 'weighing',
    subject: 'r1',
    atMs: START_MS,
    recordedAtMs: START_MS + 1,
    by: 'Ann',
    json: '{"gramsLeft":30}',
    withdrawnAtMs: null,
    ...more,
  }
}

export function photo(id: string, bytes = 64, more: Partial<PhotoRow> = {}): PhotoRow {
  const body = Uint8Array.from({ length: bytes }, (_, at) => (at * 7) % 256)
  return { id, batchId: 'b1', media: 'image/jpeg', createdAtMs: START_MS, body, ...more }
}
