import type { EntryRow, PhotoRow, RecordRow } from './books-contract.ts'
import type {
  AlarmSelection,
  AssignmentRow,
  AuditRow,
  BatchEventRow,
  BatchRow,
  BatchSelection,
  DeliveryRow,
  DeviceRow,
  DeviceSecrets,
  QuarantineRow,
  RuleMemory,
  SessionRow,
  Store,
  TellingRow,
  TokenRow,
  VesselRow,
  WatchQuery,
  WatchRow,
} from './contract.ts'
import type { Alarm } from '../rules/alarm.ts'

type Soon<T> = T | Promise<T>
type Lots = Awaited<ReturnType<Store['lots']>>

/** What is read of all that is kept beside readings; see `contract.ts`. */
export interface Records {
  quarantine(limit: number, beforeId?: number): Soon<QuarantineRow[]>
  ruleMemory(): Soon<RuleMemory[]>
  standingAlarms(): Soon<Alarm[]>
  alarms(query: AlarmSelection): Soon<Alarm[]>
  watchLog(query: WatchQuery): Soon<WatchRow[]>
  vessels(): Soon<VesselRow[]>
  assignments(): Soon<AssignmentRow[]>
  batches(query?: BatchSelection): Soon<BatchRow[]>
  batch(id: string): Soon<BatchRow | undefined>
  lots(): Soon<Lots>
  batchEvents(batchId: string): Soon<BatchEventRow[]>
  waitingDeliveries(): Soon<DeliveryRow[]>
  deliveries(limit: number): Soon<DeliveryRow[]>
  tellings(): Soon<TellingRow[]>
  document(key: string): Soon<string | undefined>
  records(kind: string): Soon<RecordRow[]>
  entries(book: string): Soon<EntryRow[]>
  photo(id: string): Soon<PhotoRow | undefined>
  photoTotals(batchId: string): Soon<{ readonly ofBatch: number; readonly bytes: number }>
  eventsOfKind(kind: string, sinceMs: number): Soon<BatchEventRow[]>
  devices(): Soon<DeviceRow[]>
  deviceSecret(name: string): Soon<string | undefined>
  deviceSecrets(name: string): Soon<DeviceSecrets | undefined>
  tokens(): Soon<TokenRow[]>
  session(hash: string): Soon<SessionRow | undefined>
  sessions(): Soon<SessionRow[]>
  audit(limit: number, beforeId?: number): Soon<AuditRow[]>
}
