import type { Alarm, Priority, Reason } from './alarm.ts'
import { AlarmState } from './alarm.ts'

/** What can happen to an alarm, in the terms of ANSI/ISA-18.2. */
export const LifeEvent = {
  /** The condition came to hold. */
  raise: 'raise',
  /** The condition holds no longer. */
  clear: 'clear',
  /** A person has seen it. */
  acknowledge: 'acknowledge',
  /** What stands has become more urgent: it is announced anew. */
  escalate: 'escalate',
  /** It is watched no longer: the batch ended, the channel was taken away, the rule was switched off. */
  withdraw: 'withdraw',
} as const
export type LifeEvent = (typeof LifeEvent)[keyof typeof LifeEvent]

const S = AlarmState

/**
 * Every transition there is; what is not in the table changes nothing. The last four states have their place and no way in
 * yet: nothing latches, shelves, suppresses or takes out of service.
 */
export const TRANSITIONS: Readonly<Record<AlarmState, Readonly<Partial<Record<LifeEvent, AlarmState>>>>> = {
  [S.normal]: { raise: S.unacknowledged },
  [S.unacknowledged]: {
    clear: S.returnedUnacknowledged,
    acknowledge: S.acknowledged,
    escalate: S.unacknowledged,
    withdraw: S.normal,
  },
  [S.acknowledged]: { clear: S.normal, escalate: S.unacknowledged, withdraw: S.normal },
  [S.returnedUnacknowledged]: { raise: S.unacknowledged, acknowledge: S.normal, withdraw: S.normal },
  [S.latched]: {},
  [S.shelved]: {},
  [S.suppressed]: {},
  [S.outOfService]: {},
}

/** What an alarm says when it is raised. */
export interface Announcement {
  readonly priority: Priority
  readonly action: string
  readonly text: string
  readonly value: number | null
  readonly limit: number | null
}

/** A new occurrence, from `normal`. */
export function newAlarm(
  named: Pick<Alarm, 'id' | 'vesselId' | 'rule'>,
  says: Announcement,
  reason: Reason,
  atMs: number,
): Alarm {
  return {
    ...named,
    state: TRANSITIONS[S.normal].raise ?? S.unacknowledged,
    ...says,
    raisedAtMs: atMs,
    clearedAtMs: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    reason,
  }
}

/** The condition came back before anyone had acknowledged, or grew worse: the same occurrence, announced anew. */
export function announceAgain(
  alarm: Alarm,
  event: typeof LifeEvent.raise | typeof LifeEvent.escalate,
  says: Announcement,
  reason: Reason,
): Alarm {
  const state = TRANSITIONS[alarm.state][event]
  if (state === undefined) return alarm
  return { ...alarm, ...says, state, clearedAtMs: null, acknowledgedAtMs: null, acknowledgedBy: null, reason }
}

/** The condition ended, or is watched no longer. */
export function endCondition(
  alarm: Alarm,
  event: typeof LifeEvent.clear | typeof LifeEvent.withdraw,
  reason: Reason,
  atMs: number,
): Alarm {
  const state = TRANSITIONS[alarm.state][event]
  if (state === undefined) return alarm
  return { ...alarm, state, reason, clearedAtMs: alarm.clearedAtMs ?? atMs }
}

/** A person has seen it. */
export function acknowledge(alarm: Alarm, by: string, reason: Reason, atMs: number): Alarm {
  const state = TRANSITIONS[alarm.state].acknowledge
  if (state === undefined) return alarm
  return { ...alarm, state, reason, acknowledgedAtMs: atMs, acknowledgedBy: by }
}
