import type { Alarm, Reason, SystemRuleName } from '../alarm.ts'
import type { ConditionTimer, Sight } from '../condition-timer.ts'
import type { RuleSettings, Transition } from '../contract.ts'
import type { Words } from '../rule.ts'

/** What is known of the service and of the room as a whole at one moment. */
export interface SystemFacts {
  /** Devices that fell silent at the same moment and are silent still, the newest such group; `null` for none. */
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

export interface SilentTogether {
  readonly devices: readonly string[]
  /** The names of the vessels that they watch. */
  readonly vessels: readonly string[]
  /** When the last of them was heard, Unix ms. */
  readonly sinceMs: number
  /** How many devices are heard still. */
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
}

export interface SystemState {
  readonly timer: ConditionTimer
  /** The occurrence that is not over; `null` in the normal state. */
  readonly alarm: Alarm | null
}

export type SystemMemory = Readonly<Record<SystemRuleName, SystemState>>

export interface SystemJudgement {
  readonly memory: SystemMemory
  readonly transitions: readonly Transition[]
}
