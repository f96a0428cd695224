import { AlarmState, Priority, type Alarm } from './alarm.ts'
import type { RuleSettings } from './contract.ts'

/** Whether it matters that an alarm in this state became more urgent: not while work makes it silent. */
export function canEscalate({ state, suppressedUntilMs }: Alarm): boolean {
  return (
    state === AlarmState.unacknowledged ||
    state === AlarmState.acknowledged ||
    state === AlarmState.shelved ||
    (state === AlarmState.suppressed && suppressedUntilMs === null)
  )
}

/** How long after an acknowledgement what still holds calls again, ms, where the person has not set it. Own choice. */
export const RE_ALARM_MS = 30 * 60_000

/** When an acknowledged alarm calls again, Unix ms; `Infinity` when it does not. */
export function reAlarmAt(alarm: Alarm, holds: boolean, { reAlarmMs = RE_ALARM_MS }: RuleSettings): number {
  const { state, priority, acknowledgedAtMs } = alarm
  if (state !== AlarmState.acknowledged || !holds || priority === Priority.low) return Infinity
  return acknowledgedAtMs === null || !(reAlarmMs > 0) ? Infinity : acknowledgedAtMs + reAlarmMs
}
