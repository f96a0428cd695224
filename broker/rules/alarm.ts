/** Alarm vocabulary: the states and terms of ANSI/ISA-18.2 (IEC 62682). */

export const AlarmState = {
  normal: 'normal',
  unacknowledged: 'unacknowledged',
  acknowledged: 'acknowledged',
  returnedUnacknowledged: 'return-to-normal-unacknowledged',
  latched: 'latched',
  shelved: 'shelved',
  suppressed: 'suppressed-by-design',
  outOfService: 'out-of-service',
} as const
export type AlarmState = (typeof AlarmState)[keyof typeof AlarmState]

export const Priority = { critical: 'critical', high: 'high', low: 'low' } as const
export type Priority = (typeof Priority)[keyof typeof Priority]

export const RuleName = {
  waterTooHot: 'water-too-hot',
  waterTooCool: 'water-too-cool',
  airLost: 'air-lost',
  lightOut: 'light-out',
  probeFault: 'probe-fault',
  deviceSilent: 'device-silent',
} as const
export type RuleName = (typeof RuleName)[keyof typeof RuleName]

/** Why a rule decided as it did: the log, the API and the screen show this same name. */
export const Reason = {
  aboveLimit: 'above-limit',
  belowLimit: 'below-limit',
  backWithinLimit: 'back-within-limit',
  badQuality: 'bad-quality',
  goodAgain: 'good-again',
  notHeard: 'not-heard',
  heardAgain: 'heard-again',
  acknowledged: 'acknowledged',
  batchEnded: 'batch-ended',
  notWatched: 'not-watched',
} as const
export type Reason = (typeof Reason)[keyof typeof Reason]

/** One occurrence of an alarm, from its raising to its return to normal and acknowledgement. */
export interface Alarm {
  readonly id: string
  readonly vesselId: string
  readonly rule: RuleName
  readonly state: AlarmState
  readonly priority: Priority
  /** Event time of the raising, Unix ms. */
  readonly raisedAtMs: number
  readonly clearedAtMs: number | null
  readonly acknowledgedAtMs: number | null
  readonly acknowledgedBy: string | null
  /** The reason of the latest transition. */
  readonly reason: Reason
  /** What to do first: one plain sentence, short enough to be read at arm's length. Empty in alarms kept before there was one. */
  readonly action: string
  /** Plain words: what was measured, the action, and what to mind about it. Temperatures as °C and °F. */
  readonly text: string
  /** The value that raised it and the limit it was held against, in the rule's own unit; `null` where there is none. */
  readonly value: number | null
  readonly limit: number | null
}
