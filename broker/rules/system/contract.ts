import type { Alarm, Reason, SystemRuleName } from '../alarm.ts'
import type { ConditionTimer, Sight } from '../condition-timer.ts'
import type { RuleSettings, Transition } from '../contract.ts'
import type { Words } from '../rule.ts'

/** What is known of the service and of the room as a whole at one moment. */
export interface SystemFacts {
  /** Devices that fell silent at the same moment; `null` for none. */
  readonly silentTogether: SilentTogether | null
  /** Why the disk takes nothing more, in the store's words, since when; `null` while it takes all. */
  readonly notKept: { readonly detail: string; readonly sinceMs: number } | null
  /** How long the newest commit took, or the one under way has taken, ms. */
  readonly commitMs: number
  /** By how much the wall clock left the monotonic one at its last jump, ms, positive is ahead; `null` when it did not. */
  readonly clockJump: { readonly byMs: number; readonly atMs: number } | null
  /** Why no backup could be made, in the store's words, since when one has been due; `null` while they are made. */
  readonly backupOverdue: { readonly detail: string; readonly sinceMs: number } | null
  /** The database was found damaged at the start, and a backup of this moment took its place; `null` when it was sound. */
  readonly restored: { readonly ofMs: number; readonly keptIn: string; readonly atMs: number } | null
  /** Ways to a person that do not deliver, the longest failing first. */
  readonly failing: readonly { readonly channel: string; readonly detail: string; readonly sinceMs: number }[]
}

/** Devices that fell silent at one moment. */
export interface SilentMoment {
  /** Those that are heard again by now included. */
  readonly devices: readonly string[]
  /** When the last of them was heard, Unix ms. */
  readonly sinceMs: number
  /** They were well when the service stopped, and have not been heard since it began again. Left out for no. */
  readonly atStart?: boolean
}

export interface SilentTogether {
  /** In the order of time; more than one where others followed while the first were silent still. */
  readonly moments: readonly SilentMoment[]
  /** How many of them are silent still, and the names of the vessels that those watch. */
  readonly silentStill: number
  readonly vessels: readonly string[]
  /** How many devices beside them are heard. */
  readonly heardStill: number
}

/** One rule of the system's own. Like a vessel's rule, but it looks at facts and not at readings. */
export interface SystemRule {
  readonly name: SystemRuleName
  readonly raises: Reason
  readonly clears: Reason
  see(facts: SystemFacts, setting: RuleSettings, nowMs: number): Sight
  words(facts: SystemFacts, setting: RuleSettings, nowMs: number): Words
  value(facts: SystemFacts, nowMs: number): number | null
  limit(setting: RuleSettings): number | null
  /** How many vessels it takes. Left out for what takes none. */
  takes?(facts: SystemFacts): number
  /** What the alarm is about and grows by: its words follow that while it stands, and what it has grown by calls. Left out for nothing. */
  about?(facts: SystemFacts): readonly SilentMoment[]
}

export interface SystemState {
  readonly timer: ConditionTimer
  /** The occurrence that is not over; `null` in the normal state. */
  readonly alarm: Alarm | null
  /** What it is about, while its condition holds: see {@link SystemRule.about}. Left out for nothing. */
  readonly about?: readonly SilentMoment[]
}

export type SystemMemory = Readonly<Record<SystemRuleName, SystemState>>

export interface SystemJudgement {
  readonly memory: SystemMemory
  readonly transitions: readonly Transition[]
}
