import type { PlacedPack, QuarantineEntry } from '../../intake/reading.ts'
import type { Alarm } from '../../rules/alarm.ts'
import type { EntryRow, PhotoRow, RecordRow } from '../books-contract.ts'
import type {
  AlarmSelection,
  AssignmentRow,
  AuditRow,
  BatchEventRow,
  BatchRow,
  BatchSelection,
  DeliveryRow,
  HistoryQuery,
  RuleMemory,
  Sample,
  SessionRow,
  Source,
  Store,
  TokenRow,
  VesselRow,
  WatchQuery,
  WatchRow,
} from '../contract.ts'
import { AccessRecords } from './access-records.ts'
import { AlarmRecords, OldAlarms } from './alarm-records.ts'
import { AuditRecords } from './audit-records.ts'
import { BookRecords } from './book-records.ts'
import { DeliveryRecords } from './delivery-records.ts'
import { closed, openedBeside, openedForReading, toStoreError } from './errors.ts'
import { EventRecords } from './event-records.ts'
import { GroupCommit } from './group-commit.ts'
import { checkHistoryQuery } from './history-query.ts'
import { Journal } from './journal.ts'
import { Maintenance } from './maintenance.ts'
import { OtherRecords } from './other-records.ts'
import { toSamples } from './samples.ts'
import type { Rescue } from './rescue.ts'
import { Speakers } from './speakers.ts'
import { Access, type SqliteStoreParts } from './store-parts.ts'
import { VesselRecords } from './vessel-records.ts'
import { WatchRecords } from './watch-records.ts'
import type { WriteKind, Writes } from './writes.ts'

/** The contract on one SQLite file. Made by `openStore`. */
export class SqliteStore implements Store {
  /** What had to be done to the files before they could be opened. */
  readonly rescue: Rescue | null
  readonly #parts: SqliteStoreParts
  readonly #commits: GroupCommit
  readonly #journal: Journal
  readonly #maintenance: Maintenance
  readonly #vessels: VesselRecords
  readonly #events: EventRecords
  readonly #alarms: AlarmRecords
  readonly #people: AccessRecords
  readonly #others: OtherRecords
  readonly #audit: AuditRecords
  readonly #deliveries: DeliveryRecords
  readonly #books: BookRecords
  readonly #watch: WatchRecords
  readonly #oldAlarms: OldAlarms
  #closing: Promise<void> | null = null

  constructor(parts: SqliteStoreParts) {
    const { rescue, gatherMs = 0, db, writer, access, packing, logger, clock } = parts
    this.rescue = rescue
    this.#parts = parts
    const hooks = {
      closing: () => this.#journal.closing(),
      committed: () => {
        this.#journal.committed()
        if (this.#parts.access === Access.service) this.#maintenance.committed()
      },
    }
    this.#commits = new GroupCommit(writer, hooks, gatherMs)
    this.#journal = new Journal(db, this.#commits, new Speakers(db, this.#commits), logger)
    this.#maintenance = new Maintenance(this.#commits, this.#journal, packing, logger)
    this.#oldAlarms = new OldAlarms(access === Access.reading ? null : clock, this.#commits)
    this.#vessels = new VesselRecords(db)
    this.#events = new EventRecords(db)
    this.#alarms = new AlarmRecords(db)
    this.#people = new AccessRecords(db)
    this.#others = new OtherRecords(db)
    this.#audit = new AuditRecords(db)
    this.#deliveries = new DeliveryRecords(db)
    this.#books = new BookRecords(db)
    this.#watch = new WatchRecords(db)
  }

  /** Packs that are kept together get one and the same promise. */
  keepPack(pack: PlacedPack): Promise<void> {
    return this.#keepReadings('keep a pack', () => {
      try {
        return this.#journal.keep(pack)
      } catch (error) {
        return Promise.reject(toStoreError('keep a pack', error))
      }
    })
  }

  seen(device: string, boot: string): readonly (readonly [from: number, to: number])[] {
    if (this.#closing !== null) throw closed('look up a pack')
    return this.#journal.seen(device, boot)
  }

  channels(device: string): readonly { readonly name: string; readonly unit: string }[] {
    if (this.#closing !== null) throw closed('look up channels')
    return this.#journal.channels(device)
  }

  async latest() {
    this.#open('read the newest readings')
    await this.#gathered()
    return this.#parts.reading.ask('latest', null)
  }

  async samples(sources: readonly Source[]): Promise<Sample[]> {
    this.#open('read samples')
    await this.#gathered()
    return toSamples(await this.#parts.reading.ask('samples', sources))
  }

  async history(query: HistoryQuery) {
    this.#open('read history')
    checkHistoryQuery(query)
    await this.#gathered()
    return this.#parts.reading.ask('history', query)
  }

  seal(device: string): Promise<void> {
    return this.#keepReadings('pack readings', async () => {
      await this.#gathered()
      await this.#maintenance.seal(device)
    })
  }

  dropReadings(beforeMs: number, keep: readonly Source[]): Promise<number> {
    return this.#keepReadings('drop readings', () => this.#maintenance.drop(beforeMs, keep))
  }

  keepQuarantine(entry: QuarantineEntry): Promise<void> {
    return this.#keep('keep an unreadable message', 'quarantine', entry)
  }

  quarantine(limit: number, beforeId?: number) {
    return this.#read('read the quarantine', () => this.#others.quarantine(limit, beforeId))
  }

  settled(): Promise<void> {
    if (this.#closing !== null) return Promise.reject(closed('wait for the disk'))
    return this.#commits.settled()
  }

  keepRuleMemory(memory: RuleMemory): Promise<void> {
    return this.#keep('keep what the rules remember', 'ruleMemory', memory)
  }

  ruleMemory() {
    return this.#read('read what the rules remember', () => this.#alarms.memory())
  }

  keepAlarm(alarm: Alarm): Promise<void> {
    const kept = this.#keep('keep an alarm', 'alarm', alarm)
    if (this.#closing === null) this.#oldAlarms.dropIfDue()
    return kept
  }

  standingAlarms() {
    return this.#read('read standing alarms', () => this.#alarms.standing())
  }

  alarms(query: AlarmSelection) {
    return this.#read('read alarms', () => this.#alarms.list(query))
  }

  keepWatch(row: WatchRow): Promise<void> {
    return this.#keep('keep the log of the watch', 'watch', row)
  }

  watchLog(query: WatchQuery) {
    return this.#read('read the log of the watch', () => this.#watch.list(query))
  }

  keepVessel(vessel: VesselRow): Promise<void> {
    return this.#keep('keep a vessel', 'vessel', vessel)
  }

  vessels() {
    return this.#read('read vessels', () => this.#vessels.vessels())
  }

  keepAssignment(assignment: AssignmentRow): Promise<void> {
    return this.#keep('keep an assignment', 'assignment', assignment)
  }

  assignments() {
    return this.#read('read assignments', () => this.#vessels.assignments())
  }

  keepBatch(batch: BatchRow): Promise<void> {
    return this.#keep('keep a batch', 'batch', batch)
  }

  discardBatch(id: string, atMs: number): Promise<void> {
    return this.#keep('discard a batch', 'discardBatch', { id, atMs })
  }

  batches(query?: BatchSelection) {
    return this.#read('read batches', () => this.#vessels.batches(query))
  }

  batch(id: string) {
    return this.#read('read a batch', () => this.#vessels.batch(id))
  }

  lots() {
    return this.#read('read lots', () => this.#vessels.lots())
  }

  keepBatchEvent(event: BatchEventRow): Promise<void> {
    return this.#keep('keep what was seen', 'batchEvent', event)
  }

  batchEvents(batchId: string) {
    return this.#read('read what was seen', () => this.#events.list(batchId))
  }

  keepDocument(key: string, json: string): Promise<void> {
    return this.#keep('keep a document', 'document', { key, json })
  }

  document(key: string) {
    return this.#read('read a document', () => this.#others.document(key))
  }

  keepDelivery(delivery: DeliveryRow): Promise<void> {
    return this.#keep('keep a delivery', 'delivery', delivery)
  }

  waitingDeliveries() {
    return this.#read('read waiting deliveries', () => this.#deliveries.waiting())
  }

  deliveries(limit: number) {
    return this.#read('read deliveries', () => this.#deliveries.newest(limit))
  }

  keepTelling(telling: { readonly alarmId: string; readonly json: string | null }): Promise<void> {
    return this.#keep('keep who was told', 'telling', telling)
  }

  tellings() {
    return this.#read('read who was told', () => this.#deliveries.tellings())
  }

  keepRecord(record: RecordRow): Promise<void> {
    return this.#keep('keep a record', 'record', record)
  }

  records(kind: string) {
    return this.#read('read records', () => this.#books.records(kind))
  }

  dropRecord(key: Pick<RecordRow, 'kind' | 'id'>): Promise<void> {
    return this.#keep('drop a record', 'dropRecord', key)
  }

  keepEntry(entry: EntryRow): Promise<void> {
    return this.#keep('keep an entry', 'entry', entry)
  }

  entries(book: string) {
    return this.#read('read entries', () => this.#books.entries(book))
  }

  keepPhoto(photo: PhotoRow): Promise<void> {
    return this.#keep('keep a photo', 'photo', photo)
  }

  photo(id: string) {
    return this.#read('read a photo', () => this.#books.photo(id))
  }

  photoTotals(batchId: string) {
    return this.#read('count photos', () => this.#books.photoTotals(batchId))
  }

  eventsOfKind(kind: string, sinceMs: number) {
    return this.#read('read what was seen', () => this.#books.eventsOfKind(kind, sinceMs))
  }

  addDevice(device: { name: string; secretHash: string; createdAtMs: number }): Promise<void> {
    return this.#keep('add a device', 'device', device)
  }

  /** Its name is free again; what it sent is kept. */
  revokeDevice(name: string, atMs: number): Promise<boolean> {
    return this.#keep('revoke a device', 'revoke', { name, atMs })
  }

  devices() {
    return this.#read('read devices', () => this.#people.devices())
  }

  deviceSecret(name: string) {
    return this.#read('read a device', () => this.#people.deviceSecret(name))
  }

  removeDevice(name: string, atMs: number): Promise<boolean> {
    return this.#keep('take a device off the list', 'removeDevice', { name, atMs })
  }

  offerDeviceSecret(offer: { name: string; secretHash: string; untilMs: number }): Promise<boolean> {
    return this.#keep('offer a device a password', 'offerSecret', offer)
  }

  deviceSecrets(name: string) {
    return this.#read('read a device', () => this.#people.deviceSecrets(name))
  }

  takeDeviceSecret(name: string, secretHash: string): Promise<boolean> {
    return this.#keep('change a device’s password', 'takeSecret', { name, secretHash })
  }

  readonly dropToken = (name: string): Promise<boolean> => this.#keep('drop a token', 'dropToken', name)

  keepToken(token: TokenRow): Promise<void> {
    return this.#keep('keep a token', 'token', token)
  }

  tokens() {
    return this.#read('read tokens', () => this.#people.tokens())
  }

  keepSession(session: SessionRow): Promise<void> {
    return this.#keep('keep a session', 'session', session)
  }

  session(hash: string) {
    return this.#read('read a session', () => this.#people.session(hash))
  }

  sessions() {
    return this.#read('read sessions', () => this.#people.sessions())
  }

  dropSession(hash: string): Promise<void> {
    return this.#keep('drop a session', 'dropSession', hash)
  }

  dropExpiredSessions(nowMs: number): Promise<void> {
    return this.#keep('drop expired sessions', 'dropExpiredSessions', nowMs)
  }

  /** False when the writing thread ends as often as it is started, which opening the store anew may mend. */
  get canWrite(): boolean {
    return this.#parts.writer.lives
  }

  keepAudit(line: Omit<AuditRow, 'id'>): Promise<void> {
    return this.#keep('keep a line of the audit log', 'audit', line)
  }

  audit(limit: number, beforeId?: number) {
    return this.#read('read the audit log', () => this.#audit.list(limit, beforeId))
  }

  async backup(file: string): Promise<void> {
    this.#open('write a backup')
    await this.#parts.packing.ask('backup', file)
  }

  /** The file may grow to so many bytes and no further; then keeping rejects with code `full` until there is room. */
  limitBytes(bytes: number): void {
    this.#open('limit the file')
    this.#parts.writer.limitBytes(bytes)
  }

  close(): Promise<void> {
    this.#closing ??= this.#close()
    return this.#closing
  }

  async #close(): Promise<void> {
    await this.#commits.drained()
    await this.#maintenance.close()
    await Promise.all([this.#parts.reading.close(), this.#parts.packing.close(), this.#parts.writer.close()])
    this.#parts.db.close()
    this.#parts.unlock()
  }

  /** Has what gathers for long written, for whoever reads. */
  async #gathered(): Promise<void> {
    if ((this.#parts.gatherMs ?? 0) > 0) await this.#commits.settled().catch(() => undefined)
  }

  #open(doing: string): void {
    if (this.#closing !== null) throw closed(doing)
  }

  async #read<T>(doing: string, work: () => T): Promise<T> {
    this.#open(doing)
    try {
      return work()
    } catch (error) {
      throw toStoreError(doing, error)
    }
  }

  #keep<K extends WriteKind>(doing: string, kind: K, what: Writes[K]['what']): Promise<Writes[K]['answer']> {
    if (this.#closing !== null) return Promise.reject(closed(doing))
    if (this.#parts.access === Access.reading) return Promise.reject(openedForReading(doing))
    return this.#commits.keep(kind, what)
  }

  #keepReadings<T>(doing: string, work: () => Promise<T>): Promise<T> {
    if (this.#closing !== null) return Promise.reject(closed(doing))
    if (this.#parts.access === Access.service) return work()
    return Promise.reject(openedBeside(doing))
  }
}
