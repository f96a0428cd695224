import type { AlarmState, Priority, Reason, RuleName } from '../rules/alarm.ts'
import type { RulesSettings } from '../rules/contract.ts'
import type { RoomSettings } from '../room/contract.ts'

/** Trying other settings out on what was recorded. Times are Unix ms. */

/** One alarm as it would have been. */
export interface Occurrence {
  readonly vesselId: string | null
  readonly rule: RuleName
  readonly priority: Priority
  readonly raisedAtMs: number
  /** When people would have been called, the raising and every call again; empty when nobody would have been. */
  readonly calledAtMs: readonly number[]
  /** When the condition ended; `null` when it lasted to the end. */
  readonly clearedAtMs: number | null
  /** Its state at the end. */
  readonly state: AlarmState
  /** The reason of its last step. */
  readonly reason: Reason
  /** It was the consequence of an alarm of this rule. */
  readonly causedBy: RuleName | null
  readonly value: number | null
}

/** What other settings change for one alarm. */
export const Change = {
  same: 'same',
  earlier: 'earlier',
  later: 'later',
  /** Nobody was called for it, and would have been. */
  new: 'new',
  /** Somebody was called for it, and would not have been. */
  gone: 'gone',
} as const
export type Change = (typeof Change)[keyof typeof Change]

export interface Comparison {
  readonly change: Change
  readonly rule: RuleName
  /** With the settings as they are; `null` when it is new. */
  readonly now: Occurrence | null
  /** With those that were proposed; `null` when it is gone. */
  readonly then: Occurrence | null
  /** How much later the first call comes, ms; negative is earlier, 0 for what is new or gone. */
  readonly byMs: number
}

/** Why a batch could not be tried out. */
export const Untried = {
  /** None came, or they are too old to be kept. */
  noReadings: 'no-readings',
  /** It has only just begun. */
  notYet: 'not-yet',
  tooLong: 'too-long',
} as const
export type Untried = (typeof Untried)[keyof typeof Untried]

export interface TriedBatch {
  readonly batchId: string
  readonly vesselId: string
  readonly startedAtMs: number
  /** Its end, or how far it had come. */
  readonly untilMs: number
  /** It has not ended: it was lived through as far as it had come. */
  readonly running: boolean
  readonly untried: Untried | null
  /** Oldest first; those that called with one of the settings, or with both. */
  readonly alarms: readonly Comparison[]
  /** Alarms that called nobody, suppressed for their cause or for work, with the settings as they are and as proposed. */
  readonly silent: { readonly now: number; readonly then: number }
}

/** A batch that is still to be done. */
export interface PendingBatch {
  readonly batchId: string
  readonly vesselId: string
  readonly startedAtMs: number
  /** 0 to 1. */
  readonly progress: number
}

export interface TryOutAsk {
  readonly settings: RoomSettings
  /** The rules as they are to be tried. */
  readonly proposed: RulesSettings
  /** These, or else the newest so many that ended, and all that are going on. */
  readonly batchIds?: readonly string[]
  readonly newest: number
  readonly nowMs: number
}

export const TryOutState = {
  waiting: 'waiting',
  running: 'running',
  done: 'done',
  cancelled: 'cancelled',
  failed: 'failed',
} as const
export type TryOutState = (typeof TryOutState)[keyof typeof TryOutState]

export interface TryOutView {
  readonly id: string
  readonly state: TryOutState
  /** 0 to 1. */
  readonly progress: number
  /** How many batches it is made on; `null` while that is not known. */
  readonly total: number | null
  /** Those that are done, in the order in which they were: the newest first. */
  readonly batches: readonly TriedBatch[]
  /** Those that are still to be done, in the order in which they will be. */
  readonly pending?: readonly PendingBatch[]
  /** Why it failed, in plain words. */
  readonly error: string | null
}

/** Where try-outs are asked for. They run beside everything else, one after the other. */
export interface TryOutDesk {
  /** `null` when as many wait as may. */
  start(ask: TryOutAsk): TryOutView | null
  /** `undefined` for one that never was, or is forgotten. */
  find(id: string): TryOutView | undefined
  /** What is not needed any more ends; one that has ended stays as it is. */
  cancel(id: string): TryOutView | undefined
}

/** What a thread that reads recordings may take of the memory, MB: they are read a few hours at a time. */
export const RECORDINGS_MB = 512
/** The most batches that one try-out is made on, those that go on among them, and how many that ended when nobody says. */
export const MOST_BATCHES = 40
export const USUAL_BATCHES = 5
