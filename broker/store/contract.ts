import type { PlacedPack, Quality, QuarantineEntry } from '../intake/reading.ts'
import type { HarvestGoal } from '../hatch/contract.ts'
import type { Alarm, Priority, RuleName } from '../rules/alarm.ts'
import type { SignInRole } from '../roles.ts'
import type { BookStore } from './books-contract.ts'

/** A device that may speak, or might. */
export interface DeviceRow {
  readonly name: string
  readonly createdAtMs: number
  readonly revokedAtMs: number | null
  /** It was taken off the list, after it was revoked; what it sent is kept. */
  readonly removedAtMs?: number
  /** A new password was made for it, and it has not signed in with that yet: until then the one before is good too. */
  readonly offeredUntilMs?: number
}

/** What a device may sign in with. */
export interface DeviceSecrets {
  readonly current: string
  /** Made to take the place of `current`: it does at its first use, if that comes in time. */
  readonly offered: { readonly secretHash: string; readonly untilMs: number } | null
}

export interface VesselRow {
  readonly id: string
  readonly name: string
  readonly litres: number
  readonly createdAtMs: number
  readonly retiredAtMs: number | null
}

/** The part that a channel plays in a vessel. */
export const Role = {
  water: 'water',
  /** A second probe near the surface, against layers. The rules judge `water` alone. */
  upperWater: 'upper-water',
  room: 'room',
  air: 'air',
  light: 'light',
  level: 'level',
} as const
export type Role = (typeof Role)[keyof typeof Role]

/** A device's channel belongs to a vessel from a moment on; rows are closed, never changed, so history stays true. */
export interface AssignmentRow {
  readonly id: string
  readonly vesselId: string
  readonly role: Role
  readonly device: string
  readonly channel: string
  /** What is measured is multiplied by `gain`, 1 when left out, and then `offset` is added, in the kept unit of the role. */
  readonly offset: number
  readonly gain?: number
  /** The standard uncertainty of a reading that was set right by this, in the same unit; left out while nobody knows it. */
  readonly uncertainty?: number
  readonly fromMs: number
  readonly toMs: number | null
}

export interface BatchRow {
  readonly id: string
  readonly vesselId: string
  readonly startedAtMs: number
  readonly endedAtMs: number | null
  readonly litres: number
  readonly cystsG: number
  readonly salinityGpl: number
  readonly lot: string | null
  /** Which food is wanted of it. */
  readonly goal: HarvestGoal
  readonly note: string | null
}

/** Something a person saw or did with a batch. Rows are withdrawn, never deleted, so the log stays true. */
export interface BatchEventRow {
  readonly id: string
  readonly batchId: string
  /** When it was so, and when it was written down. */
  readonly atMs: number
  readonly recordedAtMs: number
  readonly by: string
  readonly kind: string
  /** What else the kind has, as JSON: opaque here. */
  readonly json: string
  readonly withdrawnAtMs: number | null
}

export interface BatchSelection {
  readonly vesselId?: string
  readonly lot?: string
  readonly open?: boolean
  readonly limit?: number
}

/** One value read back. */
export interface Sample {
  readonly atMs: number
  readonly value: number | null
  readonly quality: Quality
}

/** Which device channel to read over which span; several make up one vessel's role over time. */
export interface Source {
  readonly device: string
  readonly channel: string
  /** Every value read is multiplied by `gain`, 1 when left out, and then `offset` is added. */
  readonly offset: number
  readonly gain?: number
  readonly fromMs: number
  /** Exclusive. */
  readonly toMs: number
}

/** Columns for a chart: each bucket's first moment, least, greatest and mean of its good values. A bucket with none is absent. */
export interface Columns {
  readonly t: readonly number[]
  readonly min: readonly number[]
  readonly max: readonly number[]
  readonly mean: readonly number[]
}

export interface HistoryQuery {
  /** Sources by the name that their columns get. */
  readonly channels: Readonly<Record<string, readonly Source[]>>
  readonly fromMs: number
  readonly toMs: number
  /** At most so many buckets a channel; with fewer samples than that, each sample is its own bucket. */
  readonly points: number
}

/** A rule's memory for one vessel: opaque here, versioned by rules. */
export interface RuleMemory {
  readonly vesselId: string
  readonly json: string
}

export interface QuarantineRow extends Omit<QuarantineEntry, 'payload'> {
  readonly id: number
  readonly payload: Uint8Array
}

export interface TokenRow {
  readonly name: string
  readonly hash: string
  readonly createdAtMs: number
  readonly role: SignInRole
}

/** One line of the audit log: who did what that matters for safety, from where. */
export interface AuditRow {
  readonly id: number
  readonly atMs: number
  readonly act: string
  readonly subject: string | null
  readonly who: string
  readonly role: string | null
  /** `null` for the machine's own command line. */
  readonly address: string | null
  /** It was tried, and refused. */
  readonly failed: boolean
}

export interface SessionRow {
  readonly hash: string
  readonly createdAtMs: number
  readonly expiresAtMs: number
  /** Whose it is; `null` for the owner. */
  readonly person: string | null
  /** From where it was opened, and what the browser calls itself; `null` where that was not kept yet. */
  readonly address: string | null
  readonly agent: string | null
}

/** What became of something that a person is to be told. */
export const DeliveryState = {
  waiting: 'waiting',
  delivered: 'delivered',
  /** It will not be tried again. */
  failed: 'failed',
  /** It had to make room. */
  dropped: 'dropped',
  /** It was of no use any more before it got through. */
  withdrawn: 'withdrawn',
} as const
export type DeliveryState = (typeof DeliveryState)[keyof typeof DeliveryState]

/** One thing that one person is to be told by one address. */
export interface DeliveryRow {
  /** The idempotency key. */
  readonly id: string
  readonly alarmId: string | null
  readonly personId: string
  readonly channel: string
  readonly createdAtMs: number
  readonly state: DeliveryState
  readonly attempts: number
  readonly nextAtMs: number
  /** When its state became other than waiting. */
  readonly doneAtMs: number | null
  /** What went wrong the last time, in plain words. */
  readonly error: string | null
  /** What is sent, as JSON: opaque here. */
  readonly json: string
}

/** Who has been told of a standing alarm, as JSON: opaque here. */
export interface TellingRow {
  readonly alarmId: string
  readonly json: string
}

/** What the log of the watch tells of. */
export const WatchKind = {
  /** The service began to watch: before it, nobody listened. */
  began: 'began',
  /** An alarm took a step. */
  alarm: 'alarm',
  /** A person did something about alarms. */
  act: 'act',
  /** Readings came long after they were measured. */
  backlog: 'backlog',
  /** Whether a lamp is the heater was seen. */
  lamp: 'lamp',
  /** The settings are these from now on. */
  settings: 'settings',
} as const
export type WatchKind = (typeof WatchKind)[keyof typeof WatchKind]

/** One line of the log of the watch: what the readings do not tell, and whoever judges them again must know. Never changed. */
export interface WatchRow {
  readonly kind: WatchKind
  /** When it happened, by the service's clock or, of an alarm's step, by the time of the reading that brought it. */
  readonly atMs: number
  readonly vesselId: string | null
  /** The alarm that took a step; `null` of all else. */
  readonly alarmId: string | null
  /** What else the kind has, as JSON: opaque here. */
  readonly json: string
}

export interface WatchQuery {
  readonly fromMs: number
  /** Exclusive. */
  readonly toMs: number
  readonly kinds?: readonly WatchKind[]
  readonly limit: number
  /** The newest instead of the oldest, where the limit cuts; answered oldest first all the same. */
  readonly newest?: boolean
}

export interface AlarmSelection {
  readonly vesselId?: string
  readonly rule?: RuleName
  readonly priority?: Priority
  /** Raised before. */
  readonly beforeMs?: number
  /** Not over before: those of a span are the ones that stood in it. */
  readonly sinceMs?: number
  /** So many of the newest are passed over. */
  readonly skip?: number
  readonly limit: number
}

/** The newest sample of a device's channel. */
export interface LatestRow extends Sample {
  readonly device: string
  readonly channel: string
  readonly unit: string
}

/** The store could not do it. `code` tells kinds apart; the message says what to do. */
export class StoreError extends Error {
  override readonly name = 'StoreError'
  readonly code: StoreErrorCode
  constructor(code: StoreErrorCode, message: string, options?: { cause?: unknown }) {
    super(message, options)
    this.code = code
  }
}
export const StoreErrorCode = {
  full: 'full',
  readOnly: 'read-only',
  corrupt: 'corrupt',
  newer: 'newer-schema',
  inUse: 'in-use',
  closed: 'closed',
  duplicate: 'duplicate',
  failed: 'failed',
} as const
export type StoreErrorCode = (typeof StoreErrorCode)[keyof typeof StoreErrorCode]

/**
 * What is kept. One contract, SQLite behind it. Every `keep…` joins the commit that gathers, which begins at the end of the
 * event loop's turn at the latest, or when the one before has ended, and resolves once it is on disk. All that is kept without a
 * break is kept together or not at all. What gathers while a commit is under way counts on it, and is rejected with it.
 *
 * Growth and its limits: readings of vessels without an open batch are dropped after `retentionDays`; the quarantine
 * holds its newest 1,000 entries; ended alarms and the log of the watch are dropped after two years, and the log holds its newest
 * 200,000 lines; of the deliveries that are done the newest 2,000
 * are kept.
 */
export interface Store extends BookStore {
  /** Readings. A pack whose (device, boot, seq) is on disk already is not kept twice. */
  keepPack(pack: PlacedPack): Promise<void>
  /** The pack numbers on disk for one power-up of a device, closed ranges, rising. Synchronous: intake asks per boot. */
  seen(device: string, boot: string): readonly (readonly [from: number, to: number])[]
  /** The channels that a device has on disk, by name and unit. Synchronous: intake asks once a device. */
  channels(device: string): readonly { readonly name: string; readonly unit: string }[]
  latest(): Promise<LatestRow[]>
  /** Good, bad and missing alike, oldest first; from a worker. */
  samples(sources: readonly Source[]): Promise<Sample[]>
  /** Down-sampled, from a worker. */
  history(query: HistoryQuery): Promise<Record<string, Columns>>
  /** Packs what is left of these device channels' loose rows densely: at the end of a batch. */
  seal(device: string): Promise<void>
  /** Drops readings older than `beforeMs` of device channels, except within the given spans. */
  dropReadings(beforeMs: number, keep: readonly Source[]): Promise<number>

  keepQuarantine(entry: QuarantineEntry): Promise<void>
  quarantine(limit: number, beforeId?: number): Promise<QuarantineRow[]>

  /** Resolves once all that was kept before it is on disk. */
  settled(): Promise<void>

  keepRuleMemory(memory: RuleMemory): Promise<void>
  ruleMemory(): Promise<RuleMemory[]>
  /** Inserts or replaces by id. */
  keepAlarm(alarm: Alarm): Promise<void>
  /** Those not yet back in `normal`, oldest first. */
  standingAlarms(): Promise<Alarm[]>
  /** Newest first. */
  alarms(query: AlarmSelection): Promise<Alarm[]>
  keepWatch(row: WatchRow): Promise<void>
  /** Oldest first. */
  watchLog(query: WatchQuery): Promise<WatchRow[]>

  keepVessel(vessel: VesselRow): Promise<void>
  vessels(): Promise<VesselRow[]>
  keepAssignment(assignment: AssignmentRow): Promise<void>
  assignments(): Promise<AssignmentRow[]>
  keepBatch(batch: BatchRow): Promise<void>
  /** It was started by mistake: it is found no more, though its row and its log stay. */
  discardBatch(id: string, atMs: number): Promise<void>
  /** Newest first. */
  batches(query?: BatchSelection): Promise<BatchRow[]>
  batch(id: string): Promise<BatchRow | undefined>
  /** The names of lots that batches were started from, the one used last first. */
  lots(): Promise<{ readonly name: string; readonly batches: number; readonly lastUsedAtMs: number }[]>
  /** Inserts or replaces by id. */
  keepBatchEvent(event: BatchEventRow): Promise<void>
  /** In the order of their time, withdrawn ones among them. */
  batchEvents(batchId: string): Promise<BatchEventRow[]>

  /** Inserts or replaces by id. */
  keepDelivery(delivery: DeliveryRow): Promise<void>
  /** Oldest first. */
  waitingDeliveries(): Promise<DeliveryRow[]>
  /** Newest first. */
  deliveries(limit: number): Promise<DeliveryRow[]>
  /** Inserts or replaces by alarm; `json: null` forgets it. */
  keepTelling(telling: { readonly alarmId: string; readonly json: string | null }): Promise<void>
  tellings(): Promise<TellingRow[]>

  /** Settings and other small documents by key; the value is JSON text. */
  keepDocument(key: string, json: string): Promise<void>
  document(key: string): Promise<string | undefined>

  /** Rejects with code `duplicate` when the name is taken by a device that is not revoked. */
  addDevice(device: { name: string; secretHash: string; createdAtMs: number }): Promise<void>
  devices(): Promise<DeviceRow[]>
  /** `undefined` for an unknown or revoked device. Reads the file anew: another process may have added it. */
  deviceSecret(name: string): Promise<string | undefined>
  /** The device may no longer speak. Resolves false when no device of this name may. */
  revokeDevice?(name: string, revokedAtMs: number): Promise<boolean>
  /** It is to be listed no longer. Resolves false unless it was revoked. */
  removeDevice?(name: string, removedAtMs: number): Promise<boolean>
  /** Puts a second secret beside the present one, in place of an earlier offer. Resolves false when no device of this name may speak. */
  offerDeviceSecret?(offer: { name: string; secretHash: string; untilMs: number }): Promise<boolean>
  /** `undefined` for an unknown or revoked device. Reads the file anew, as `deviceSecret` does. */
  deviceSecrets?(name: string): Promise<DeviceSecrets | undefined>
  /** What was offered is the present one from now on. Resolves false unless exactly this one was offered. */
  takeDeviceSecret?(name: string, secretHash: string): Promise<boolean>

  keepToken(token: TokenRow): Promise<void>
  tokens(): Promise<TokenRow[]>
  /** Resolves false when there is none of this name. */
  dropToken?(name: string): Promise<boolean>
  keepSession(session: SessionRow): Promise<void>
  session(hash: string): Promise<SessionRow | undefined>
  /** The newest first. */
  sessions(): Promise<SessionRow[]>
  dropSession(hash: string): Promise<void>
  /** Drops sessions that expired before `nowMs`. */
  dropExpiredSessions(nowMs: number): Promise<void>

  /** Adds a line, which is never changed; of those that failed and of the others so many are kept, the newest. */
  keepAudit(line: Omit<AuditRow, 'id'>): Promise<void>
  /** The newest first, older than the line `beforeId` where that is given. */
  audit(limit: number, beforeId?: number): Promise<AuditRow[]>

  /** Writes a whole, usable copy of all that is kept into a new file, while the service runs. Rejects if `file` is there already. */
  backup?(file: string): Promise<void>

  /** Commits what waits, stops the worker, closes the file. Every later call rejects with code `closed`. */
  close(): Promise<void>
}
