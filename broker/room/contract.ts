import type { Diagnosis } from '../diagnosis/contract.ts'
import type { HarvestGoal } from '../hatch/contract.ts'
import type { HatchCourse } from '../hatch/course.ts'
import type { Alarm, AlarmState, RuleName } from '../rules/alarm.ts'
import type { RulesSettings } from '../rules/contract.ts'
import type { Reminder } from '../rules/reminders.ts'
import type { Hush, HushReason } from '../rules/hush.ts'
import type { Adopting } from './adopting.ts'
import type { BatchEvent, NewBatchEvent, ReadyEvent } from './event-contract.ts'
import type { HatchLine, HatchLineQuery } from './hatch-line.ts'
import type { SettingsThen } from './settings-then.ts'
import type { JournalQuery, JournalView } from './alarm-journal.ts'
import type {
  AssignmentRow,
  BatchRow,
  BatchSelection,
  Columns,
  Role,
  Sample,
  VesselRow,
} from '../store/contract.ts'
import type { BatchForecastView, DeviceView, LookBack, LookBackQuery, LotView, VesselView } from './views.ts'

/**
 * The fish room as it is now: vessels, what is assigned to them, the newest readings, forecasts and alarms, and everything
 * that a person may do to them. It does not know who looks at it. Times are Unix ms.
 */
export interface Room {
  snapshot(): RoomSnapshot
  vessel(id: string): VesselView
  /** Those that were taken out of the room among them. */
  everyVessel(): Promise<VesselRow[]>
  /** Calls the listener with every change, in order, until the returned function is called. */
  onChange(listener: (change: RoomChange) => void): () => void

  createVessel(input: { name: string; litres: number }): Promise<VesselView>
  changeVessel(id: string, change: { name?: string; litres?: number }): Promise<VesselView>
  /** Takes the vessel out of the room; its history is kept. Refused while a batch is open. */
  retireVessel(id: string): Promise<void>
  /** Roles left out keep what they have, `null` takes the channel away. A channel belongs to one vessel at a time. */
  assignChannels(id: string, change: ChannelChange): Promise<VesselView>

  startBatch(input: NewBatch): Promise<BatchRow>
  endBatch(id: string, input: { endedAtMs?: number; note?: string }): Promise<BatchRow>
  batch(id: string): Promise<BatchRow>
  batches(query: BatchSelection): Promise<BatchRow[]>
  /** What was written down can be corrected, while the batch is open and afterwards. */
  changeBatch(id: string, change: BatchChange): Promise<BatchRow>
  /** It was started by mistake: it is gone from every list and teaches nothing. */
  discardBatch(id: string): Promise<void>
  /** As of now for an open batch, as of its end for an ended one. */
  forecast(batchId: string): Promise<BatchForecastView>
  /** How it went and will go, for drawing; from its start to past its harvest unless asked otherwise. */
  course(batchId: string, query: { fromMs?: number; toMs?: number; points: number }): Promise<HatchCourse>
  /** Both at once, for looking at it again. */
  lookBack(batchId: string, query: LookBackQuery): Promise<LookBack>
  /** Its hatch as one line, for drawing it among others. */
  hatchLine(batchId: string, query: HatchLineQuery): Promise<HatchLine>
  /** What went wrong with it, as of now or of its end; made on a thread of its own and kept while nothing changes. */
  diagnosis(batchId: string): Promise<Diagnosis>
  recordEvent(batchId: string, input: NewBatchEvent): Promise<BatchEvent>
  /** The same, checked and not written yet: what is kept in one turn is kept together, or not at all. */
  readyEvent(batchId: string, input: NewBatchEvent): Promise<ReadyEvent>
  /** It was a mistake: it stays in the log, and counts no more. */
  withdrawEvent(batchId: string, eventId: string): Promise<BatchEvent>
  /** The same, looked up and not written yet: what is taken back in one turn is taken back together, or not at all. */
  readyWithdrawal(batchId: string, eventId: string): Promise<ReadyEvent>
  batchEvents(batchId: string): Promise<BatchEvent[]>
  /** Since when a batch has been known here, Unix ms: later than its start where it was written down afterwards. */
  batchKnownSince?(batchId: string): Promise<number>
  /** Lots that batches were started from, the one used last first. */
  lots(): Promise<LotView[]>

  /** `roles`: of these alone. */
  readings(
    vesselId: string,
    query: { fromMs: number; toMs: number; points: number; roles?: readonly Role[] },
  ): Promise<Partial<Record<Role, Columns>>>

  /** `states`: only those in one of these states. */
  alarms(query: {
    standing: boolean
    vesselId?: string
    states?: readonly AlarmState[]
    limit: number
  }): Promise<Alarm[]>
  /** The alarms of a span, and how much they asked of people. */
  journal(query: JournalQuery): Promise<JournalView>
  acknowledge(alarmId: string, by: string): Promise<Alarm>
  /** Lets go of what is over and latched. */
  resetAlarm(alarmId: string, by: string): Promise<Alarm>
  /** Sets a standing alarm aside for a time; it comes back by itself. */
  shelve(alarmId: string, input: ShelveInput): Promise<Alarm>
  unshelve(alarmId: string, by: string): Promise<Alarm>
  takeOutOfService(vesselId: string, rule: RuleName, input: OutInput): Promise<Alarm>
  returnToService(vesselId: string, rule: RuleName, by: string): Promise<Alarm>
  /** Work begins at the vessel: what it disturbs is suppressed by design for a time. */
  suppress(vesselId: string, input: { reason: HushReason; forMs: number; by: string }): Promise<Hush>
  endSuppression(vesselId: string, by: string): Promise<void>

  /** What the batches ask to be done now, the oldest first. */
  reminders(): readonly Reminder[]
  doneReminder(id: string, by: string): Promise<Reminder>
  /** It was ticked off by mistake. */
  undoReminder(id: string): Promise<void>

  changeSettings(change: RoomSettings): Promise<RoomSettings>
  /** What was judged by over a span, from its beginning on. */
  settingsThen(span: { readonly fromMs: number; readonly toMs: number }): Promise<SettingsThen[]>

  /** Takes what was written out elsewhere, or here before, with its ids. */
  readonly adopt: Adopting
}

export interface ShelveInput {
  readonly by: string
  /** Until it returns to normal, at the longest as long as an alarm of its priority may be shelved. */
  readonly oneShot?: boolean
  /** How long otherwise, ms. */
  readonly forMs?: number
}

/** How a rule of a vessel is taken out of service. */
export interface OutInput {
  readonly by: string
  /** For how long, ms; until it is returned when left out. */
  readonly forMs?: number
  /** What for, in the person's words. */
  readonly why?: string
}

export interface ChannelChange {
  readonly channels: Partial<Record<Role, { device: string; channel: string } | null>>
  /** Set by hand, in the place of whatever the channel was set right by before: then nobody knows how sure it is. */
  readonly offsets: Partial<Record<Role, number>>
  /** The whole of what a channel is set right by; goes before `offsets`. */
  readonly corrections?: Partial<Record<Role, ProbeCorrection>>
}

/** How a channel is set right, and how sure it is then: see {@link AssignmentRow}. */
export type ProbeCorrection = Pick<AssignmentRow, 'offset' | 'gain' | 'uncertainty'>

export interface NewBatch {
  readonly vesselId: string
  readonly startedAtMs?: number
  readonly litres: number
  readonly cystsG: number
  readonly salinityGpl: number
  readonly lot?: string
  readonly goal?: HarvestGoal
  readonly note?: string
}

export interface BatchChange {
  readonly startedAtMs?: number
  /** Of an ended batch only. */
  readonly endedAtMs?: number
  readonly litres?: number
  readonly cystsG?: number
  readonly salinityGpl?: number
  readonly lot?: string | null
  readonly goal?: HarvestGoal
  readonly note?: string | null
  /** Who corrects it. */
  readonly by?: string
}

export interface RoomSettings {
  readonly temperatureUnit: 'C' | 'F'
  readonly retentionDays: number
  /** Of the room above the sea, m: thinner air leaves less oxygen in the water. */
  readonly altitudeM: number
  /** A probe is to be calibrated anew after so many days; 0: nobody is reminded. A year when left out. */
  readonly calibrateEveryDays?: number
  /** How long a person may shelve an alarm, ms; a critical one an hour at most, whatever this is. 12 h when left out. */
  readonly shelveLimitMs?: number
  readonly rules: RulesSettings
}

export interface RoomSnapshot {
  readonly nowMs: number
  readonly vessels: readonly VesselView[]
  readonly devices: readonly DeviceView[]
  /** Standing alarms, oldest first. */
  readonly alarms: readonly Alarm[]
  readonly settings: RoomSettings
  /** Those that are due, oldest first. */
  readonly reminders?: readonly Reminder[]
}

export type RoomChange =
  /** What is due to be done has changed: all of it, oldest first. */
  | { readonly kind: 'reminders'; readonly reminders: readonly Reminder[] }
  | {
      readonly kind: 'reading'
      readonly vesselId: string
      readonly role: Role
      readonly sample: Sample
      /** Older than the newest of its role: it belongs into the past and was not judged. */
      readonly late: boolean
    }
  | { readonly kind: 'forecast'; readonly vesselId: string; readonly forecast: BatchForecastView | null }
  /** Something was seen or done with a batch, or taken back. */
  | { readonly kind: 'batch-event'; readonly vesselId: string; readonly event: BatchEvent }
  | { readonly kind: 'vessel'; readonly vessel: VesselView }
  | { readonly kind: 'vessel-removed'; readonly vesselId: string }
  | { readonly kind: 'alarm'; readonly alarm: Alarm; readonly raised: boolean }
  | { readonly kind: 'device'; readonly device: DeviceView }
  /** The device was revoked: it may no longer speak. */
  | { readonly kind: 'device-removed'; readonly device: string }
  | { readonly kind: 'settings'; readonly settings: RoomSettings }
  /** A backlog came in for this span. */
  | { readonly kind: 'backfilled'; readonly vesselId: string; readonly fromMs: number; readonly toMs: number }

/** What a person asked for cannot be done. The web gives it the HTTP status of its kind. */
export class RoomError extends Error {
  override readonly name = 'RoomError'
  readonly kind: RoomErrorKind
  /** The field that is at fault, if one is. */
  readonly field: string | null
  constructor(kind: RoomErrorKind, message: string, field: string | null = null) {
    super(message)
    this.kind = kind
    this.field = field
  }
}
export const RoomErrorKind = { notFound: 'not-found', conflict: 'conflict', invalid: 'invalid' } as const
export type RoomErrorKind = (typeof RoomErrorKind)[keyof typeof RoomErrorKind]
