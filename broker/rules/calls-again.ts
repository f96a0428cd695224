import { AlarmState, Priority, type Alarm } from './alarm.ts'
import { newestAt } from './clocks.ts'
import type { RuleSettings } from './contract.ts'
import type { Clocks } from './memory.ts'
import type { JudgedRole } from './rule.ts'

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

/** So long what was seen is left alone after the service resumed, ms: by then readings tell whether it still holds. Own choice. */
const SETTLING_MS = 5 * 60_000

/**
 * When what was acknowledged calls again, Unix ms, due at `dueMs` as the service remembers it. Over a stop nothing was measured: what was
 * seen stays seen until a reading bears it out anew. What measures nothing any more is for the rule that listens to tell.
 */
export function againAfterResume(
  dueMs: number,
  { state }: Alarm,
  role: JudgedRole | null,
  isEnding: boolean,
  clocks: Clocks,
): number {
  if (state !== AlarmState.acknowledged || role === null) return dueMs
  if (isAwaited(clocks, role)) return Infinity
  const settledMs = sinceOf(clocks, role) + SETTLING_MS
  if (!(dueMs < settledMs)) return dueMs
  return isEnding ? Infinity : settledMs
}

/** Nothing of the role was measured since the service resumed, or since its channel was assigned. */
export const isAwaited = (clocks: Clocks, role: JudgedRole): boolean =>
  newestAt(clocks, role) < sinceOf(clocks, role)

function sinceOf({ waterSinceMs, airSinceMs, lightSinceMs, levelSinceMs }: Clocks, role: JudgedRole): number {
  if (role === 'water') return waterSinceMs
  if (role === 'air') return airSinceMs
  return role === 'light' ? lightSinceMs : levelSinceMs
}
