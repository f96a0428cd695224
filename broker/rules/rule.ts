import type { Quality } from '../intake/reading.ts'
import type { Priority, Reason, RuleName } from './alarm.ts'
import type { Delays, Sight } from './condition-timer.ts'
import type { RuleSettings, VesselFacts } from './contract.ts'
import type { Silence } from './silence.ts'

/** The roles whose readings are judged. */
export type JudgedRole = 'water' | 'air' | 'light' | 'level'

/** What is known at the moment an alarm is announced. */
export interface Moment {
  readonly facts: VesselFacts
  readonly setting: RuleSettings
  /** The newest good value of the rule's role, in the kept unit; `null` when there never was one. */
  readonly value: number | null
  /** The quality of the newest reading of the rule's role. */
  readonly quality: Quality
  /** What brings no readings at that moment. */
  readonly silence: Silence
}

/** What an alarm says, in whole sentences: read one after the other they are its text. */
export interface Words {
  /** What is measured, where, and against which limit. */
  readonly measured: string
  /** What to do first: one sentence that tells the person to do it, of about 60 characters at most. */
  readonly action: string
  /** What to do then, and what to mind: no action without its caution. */
  readonly then: string
}

/**
 * One rule: what it looks at, and what it says. It keeps nothing; what it has seen is in the vessel's memory, and delays and
 * states are the same for all.
 */
export interface Rule {
  readonly name: RuleName
  /** Whose readings it judges; `null` for the rule that only listens whether they come at all. */
  readonly role: JudgedRole | null
  /** Watched only while a batch is open. */
  readonly batchOnly: boolean
  readonly raises: Reason
  readonly clears: Reason
  /** Until when it watches the vessel, Unix ms, exclusive: `Infinity` for as long as the batch lasts. */
  watchedUntilMs(facts: VesselFacts): number
  /** What one reading of its role shows. */
  see(value: number | null, quality: Quality, facts: VesselFacts, setting: RuleSettings): Sight
  priority(facts: VesselFacts, setting: RuleSettings): Priority
  /** Whether a standing alarm of it is told anew when what it foretold comes, or goes again: it says what is so, not what was. */
  readonly foretells: boolean
  /** How much longer than its on-delay it waits before it calls, ms. */
  waitsMs(facts: VesselFacts): number
  /** No clock times: the screen knows the person's zone, this does not. */
  words(moment: Moment): Words
  /** The value that raised it, in the rule's own unit. */
  value(moment: Moment): number | null
  limit(setting: RuleSettings, facts: VesselFacts, moment?: Moment): number | null
}

/** What most rules have in common: watched as long as the vessel is, at the priority that is set, held against the limit that is set. */
export const usualRule = {
  watchedUntilMs: () => Infinity,
  priority: (_facts: VesselFacts, setting: RuleSettings) => setting.priority,
  waitsMs: (_facts: VesselFacts): number => 0,
  foretells: false,
  value: (moment: Moment) => moment.value,
  limit: (setting: RuleSettings, _facts: VesselFacts, _moment?: Moment): number | null => setting.limit,
} as const

/** The rule's delays for this vessel as it is now. */
export function delaysOf(rule: Rule, facts: VesselFacts, setting: RuleSettings): Delays {
  const waitsMs = rule.waitsMs(facts)
  if (waitsMs === 0) return setting
  return { onDelayMs: setting.onDelayMs + waitsMs, offDelayMs: setting.offDelayMs }
}
