import type { QuarantineEntry } from '../intake/reading.ts'
import type { Alarm } from '../rules/alarm.ts'
import type { EntryRow, PhotoRow, RecordRow } from './books-contract.ts'
import type {
  AssignmentRow,
  AuditRow,
  BatchEventRow,
  BatchRow,
  DeliveryRow,
  RuleMemory,
  SessionRow,
  TokenRow,
  VesselRow,
  WatchRow,
} from './contract.ts'

export interface Write<What, Answer = void> {
  readonly what: What
  readonly answer: Answer
}

export interface NewDevice {
  readonly name: string
  readonly secretHash: string
  readonly createdAtMs: number
}

export interface SecretOffer {
  readonly name: string
  readonly secretHash: string
  readonly untilMs: number
}

/** What can be written beside readings, and what comes back: plain data, because it may be done on another thread. */
export interface RecordWrites {
  vessel: Write<VesselRow>
  assignment: Write<AssignmentRow>
  batch: Write<BatchRow>
  discardBatch: Write<{ readonly id: string; readonly atMs: number }>
  batchEvent: Write<BatchEventRow>
  alarm: Write<Alarm>
  watch: Write<WatchRow>
  dropEndedAlarms: Write<number>
  ruleMemory: Write<RuleMemory>
  document: Write<{ readonly key: string; readonly json: string }>
  quarantine: Write<QuarantineEntry>
  delivery: Write<DeliveryRow>
  telling: Write<{ readonly alarmId: string; readonly json: string | null }>
  record: Write<RecordRow>
  dropRecord: Write<Pick<RecordRow, 'kind' | 'id'>>
  entry: Write<EntryRow>
  photo: Write<PhotoRow>

  device: Write<NewDevice>
  revoke: Write<{ readonly name: string; readonly atMs: number }, boolean>
  removeDevice: Write<{ readonly name: string; readonly atMs: number }, boolean>
  offerSecret: Write<SecretOffer, boolean>
  takeSecret: Write<{ readonly name: string; readonly secretHash: string }, boolean>
  token: Write<TokenRow>
  dropToken: Write<string, boolean>
  session: Write<SessionRow>
  dropSession: Write<string>
  dropExpiredSessions: Write<number>
  audit: Write<Omit<AuditRow, 'id'>>
}

/** All that a store of one kind can write. */
export type WriteTable<W> = { readonly [K in keyof W]: Write<unknown, unknown> }

/** One thing to be done. */
export type WorkOf<W extends WriteTable<W>> = {
  readonly [K in keyof W]: { readonly kind: K; readonly what: W[K]['what'] }
}[keyof W]
