import type { Alarm } from './alarm.ts'
import { AlarmState } from './alarm.ts'

/**
 * Whoever was called and has not answered yet is not called anew for the same alarm within this, ms: it is told as it is now to whoever
 * looks, by addresses that only what is so urgent may use, and to all once the time is over. One alarm in ten minutes is what a person
 * can see to (EEMUA 191).
 */
export const CALL_GAP_MS = 10 * 60_000

/** Whether a call at this time would follow too soon on one that waits for its answer. */
export function isTooSoon({ state, announcedAtMs }: Alarm, atMs: number): boolean {
  return state === AlarmState.unacknowledged && announcedAtMs !== null && atMs < announcedAtMs + CALL_GAP_MS
}

/**
 * When what has become worse since its last call is called for anew, Unix ms; `Infinity` when nothing has. A warning that was
 * acknowledged is called for once it has come: whoever saw that it may come has not seen that it did.
 */
export function worseCallAt({ state, announcedAtMs, worseSinceMs }: Alarm): number {
  const isCalled = state === AlarmState.unacknowledged || state === AlarmState.acknowledged
  if (!isCalled || typeof worseSinceMs !== 'number') return Infinity
  return Math.max(worseSinceMs, (announcedAtMs ?? worseSinceMs) + CALL_GAP_MS)
}
