import type { Alarm } from '../alarm.ts'
import { AlarmState } from '../alarm.ts'
import type { JournalStep } from './contract.ts'

/**
 * The steps of alarms as far as their own records tell them, for those of which none were written down: the last call, its
 * acknowledgement and the end. What happened before the last call is not known of those.
 */
export function stepsFromRecord(alarm: Alarm): JournalStep[] {
  const { id: alarmId, vesselId, rule, priority, reason } = alarm
  const step = (atMs: number | null, state: AlarmState, calls: boolean, by: string | null = null) =>
    atMs === null ? [] : [{ atMs, alarmId, vesselId, rule, state, priority, reason, calls, by }]
  const over = alarm.acknowledgedAtMs === null ? AlarmState.returnedUnacknowledged : AlarmState.normal
  return [
    ...step(alarm.announcedAtMs, AlarmState.unacknowledged, true),
    ...step(alarm.acknowledgedAtMs, AlarmState.acknowledged, false, alarm.acknowledgedBy),
    ...step(alarm.clearedAtMs, over, false),
  ].sort((a, b) => a.atMs - b.atMs)
}

const OVER: ReadonlySet<AlarmState> = new Set([
  AlarmState.normal,
  AlarmState.returnedUnacknowledged,
  AlarmState.latched,
  AlarmState.latchedAcknowledged,
])

/** Whether what was called for is over, whoever has seen it. */
export const isOver = (state: AlarmState): boolean => OVER.has(state)
