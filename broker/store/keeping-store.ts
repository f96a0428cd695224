import type { QuarantineEntry } from '../intake/reading.ts'
import type { Alarm } from '../rules/alarm.ts'
import type { Clock } from '../clock.ts'
import type { EntryRow, PhotoRow, RecordRow } from './books-contract.ts'
import type {
  AlarmSelection,
  AssignmentRow,
  AuditRow,
  BatchEventRow,
  BatchRow,
  BatchSelection,
  DeliveryRow,
  RuleMemory,
  SessionRow,
  StoreError,
  TokenRow,
  VesselRow,
  WatchQuery,
  WatchRow,
} from './contract.ts'
import type { GroupCommit } from './group-commit.ts'
import { OldAlarms } from './old-alarms.ts'
import type { Records } from './records.ts'
import { closed, openedForReading } from './refusals.ts'
import type { RecordWrites } from './writes.ts'

/** The half of a store that keeps everything but readings: writes join the group that gathers, reads come from `records`. */
export abstract class KeepingStore {
  /** Nothing can be kept. */
  protected abstract readonly isReadOnly: boolean
  protected abstract readonly isClosed: boolean
  readonly #records: Records
  readonly #commits: Pick<GroupCommit<RecordWrites>, 'keep' | 'add'>
  readonly #oldAlarms: OldAlarms
  readonly #toStoreError: (doing: string, error: unknown) => StoreError

  constructor(parts: {
    readonly records: Records
    readonly commits: Pick<GroupCommit<RecordWrites>, 'keep' | 'add'>
    /** Without one, nothing is dropped by age. */
    readonly clock: Clock | null
    readonly toStoreError: (doing: string, error: unknown) => StoreError
  }) {
    this.#records = parts.records
    this.#commits = parts.commits
    this.#toStoreError = parts.toStoreError
    this.#oldAlarms = new OldAlarms(parts.clock, ms => this.#commits.add('dropEndedAlarms', ms))
  }

  keepQuarantine(entry: QuarantineEntry): Promise<void> {
    return this.keep('keep an unreadable message', 'quarantine', entry)
  }

  quarantine(limit: number, beforeId?: number) {
    return this.read('read the quarantine', () => this.#records.quarantine(limit, beforeId))
  }

  keepRuleMemory(memory: RuleMemory): Promise<void> {
    return this.keep('keep what the rules remember', 'ruleMemory', memory)
  }

  ruleMemory() {
    return this.read('read what the rules remember', () => this.#records.ruleMemory())
  }

  keepAlarm(alarm: Alarm): Promise<void> {
    const kept = this.keep('keep an alarm', 'alarm', alarm)
    if (!this.isClosed) this.#oldAlarms.dropIfDue()
    return kept
  }

  standingAlarms() {
    return this.read('read standing alarms', () => this.#records.standingAlarms())
  }

  alarms(query: AlarmSelection) {
    return this.read('read alarms', () => this.#records.alarms(query))
  }

  keepWatch(row: WatchRow): Promise<void> {
    return this.keep('keep the log of the watch', 'watch', row)
  }

  watchLog(query: WatchQuery) {
    return this.read('read the log of the watch', () => this.#records.watchLog(query))
  }

  keepVessel(vessel: VesselRow): Promise<void> {
    return this.keep('keep a vessel', 'vessel', vessel)
  }

  vessels() {
    return this.read('read vessels', () => this.#records.vessels())
  }

  keepAssignment(assignment: AssignmentRow): Promise<void> {
    return this.keep('keep an assignment', 'assignment', assignment)
  }

  assignments() {
    return this.read('read assignments', () => this.#records.assignments())
  }

  keepBatch(batch: BatchRow): Promise<void> {
    return this.keep('keep a batch', 'batch', batch)
  }

  discardBatch(id: string, atMs: number): Promise<void> {
    return this.keep('discard a batch', 'discardBatch', { id, atMs })
  }

  batches(query?: BatchSelection) {
    return this.read('read batches', () => this.#records.batches(query))
  }

  batch(id: string) {
    return this.read('read a batch', () => this.#records.batch(id))
  }

  lots() {
    return this.read('read lots', () => this.#records.lots())
  }

  keepBatchEvent(event: BatchEventRow): Promise<void> {
    return this.keep('keep what was seen', 'batchEvent', event)
  }

  batchEvents(batchId: string) {
    return this.read('read what was seen', () => this.#records.batchEvents(batchId))
  }

  keepDocument(key: string, json: string): Promise<void> {
    return this.keep('keep a document', 'document', { key, json })
  }

  document(key: string) {
    return this.read('read a document', () => this.#records.document(key))
  }

  keepDelivery(delivery: DeliveryRow): Promise<void> {
    return this.keep('keep a delivery', 'delivery', delivery)
  }

  waitingDeliveries() {
    return this.read('read waiting deliveries', () => this.#records.waitingDeliveries())
  }

  deliveries(limit: number) {
    return this.read('read deliveries', () => this.#records.deliveries(limit))
  }

  keepTelling(telling: { readonly alarmId: string; readonly json: string | null }): Promise<void> {
    return this.keep('keep who was told', 'telling', telling)
  }

  tellings() {
    return this.read('read who was told', () => this.#records.tellings())
  }

  keepRecord(record: RecordRow): Promise<void> {
    return this.keep('keep a record', 'record', record)
  }

  records(kind: string) {
    return this.read('read records', () => this.#records.records(kind))
  }

  dropRecord(key: Pick<RecordRow, 'kind' | 'id'>): Promise<void> {
    return this.keep('drop a record', 'dropRecord', key)
  }

  keepEntry(entry: EntryRow): Promise<void> {
    return this.keep('keep an entry', 'entry', entry)
  }

  entries(book: string) {
    return this.read('read entries', () => this.#records.entries(book))
  }

  keepPhoto(photo: PhotoRow): Promise<void> {
    return this.keep('keep a photo', 'photo', photo)
  }

  photo(id: string) {
    return this.read('read a photo', () => this.#records.photo(id))
  }

  photoTotals(batchId: string) {
    return this.read('count photos', () => this.#records.photoTotals(batchId))
  }

  eventsOfKind(kind: string, sinceMs: number) {
    return this.read('read what was seen', () => this.#records.eventsOfKind(kind, sinceMs))
  }

  addDevice(device: { name: string; secretHash: string; createdAtMs: number }): Promise<void> {
    return this.keep('add a device', 'device', device)
  }

  /** Its name is free again; what it sent is kept. */
  revokeDevice(name: string, atMs: number): Promise<boolean> {
    return this.keep('revoke a device', 'revoke', { name, atMs })
  }

  devices() {
    return this.read('read devices', () => this.#records.devices())
  }

  deviceSecret(name: string) {
    return this.read('read a device', () => this.#records.deviceSecret(name))
  }

  removeDevice(name: string, atMs: number): Promise<boolean> {
    return this.keep('take a device off the list', 'removeDevice', { name, atMs })
  }

  offerDeviceSecret(offer: { name: string; secretHash: string; untilMs: number }): Promise<boolean> {
    return this.keep('offer a device a password', 'offerSecret', offer)
  }

  deviceSecrets(name: string) {
    return this.read('read a device', () => this.#records.deviceSecrets(name))
  }

  takeDeviceSecret(name: string, secretHash: string): Promise<boolean> {
    return this.keep('change a device’s password', 'takeSecret', { name, secretHash })
  }

  readonly dropToken = (name: string): Promise<boolean> => this.keep('drop a token', 'dropToken', name)

  keepToken(token: TokenRow): Promise<void> {
    return this.keep('keep a token', 'token', token)
  }

  tokens() {
    return this.read('read tokens', () => this.#records.tokens())
  }

  keepSession(session: SessionRow): Promise<void> {
    return this.keep('keep a session', 'session', session)
  }

  session(hash: string) {
    return this.read('read a session', () => this.#records.session(hash))
  }

  sessions() {
    return this.read('read sessions', () => this.#records.sessions())
  }

  dropSession(hash: string): Promise<void> {
    return this.keep('drop a session', 'dropSession', hash)
  }

  dropExpiredSessions(nowMs: number): Promise<void> {
    return this.keep('drop expired sessions', 'dropExpiredSessions', nowMs)
  }

  keepAudit(line: Omit<AuditRow, 'id'>): Promise<void> {
    return this.keep('keep a line of the audit log', 'audit', line)
  }

  audit(limit: number, beforeId?: number) {
    return this.read('read the audit log', () => this.#records.audit(limit, beforeId))
  }

  protected open(doing: string): void {
    if (this.isClosed) throw closed(doing)
  }

  protected async read<T>(doing: string, work: () => T | Promise<T>): Promise<T> {
    this.open(doing)
    try {
      return await work()
    } catch (error) {
      throw this.#toStoreError(doing, error)
    }
  }

  protected keep<K extends keyof RecordWrites>(
    doing: string,
    kind: K,
    what: RecordWrites[K]['what'],
  ): Promise<RecordWrites[K]['answer']> {
    if (this.isClosed) return Promise.reject(closed(doing))
    if (this.isReadOnly) return Promise.reject(openedForReading(doing))
    return this.#commits.keep(kind, what)
  }
}
