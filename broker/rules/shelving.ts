import { Priority } from './alarm.ts'

/** Own choices: shorter than five minutes is not worth a tap, longer than half a day is a rule to be taken out of service. */
export const LEAST_SHELVED_MS = 5 * 60_000
export const MOST_SHELVED_MS = 12 * 3_600_000
/** What may cost the batch within minutes is not set aside for longer than an hour. Own choice. */
export const MOST_CRITICAL_SHELVED_MS = 3_600_000

/** How long an alarm of this priority may be shelved, ms; `limitMs` is what the person set for all. */
export function mostShelvedMs(priority: Priority, limitMs = MOST_SHELVED_MS): number {
  const most = priority === Priority.critical ? MOST_CRITICAL_SHELVED_MS : MOST_SHELVED_MS
  return Math.max(LEAST_SHELVED_MS, Math.min(most, limitMs))
}
