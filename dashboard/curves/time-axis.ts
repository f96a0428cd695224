import { calendarDays, clockTime, dayName, hourTime, type Zone } from '../words/time.ts'

const MINUTE_MS = 60_000
const DAY_MS = 24 * 60 * MINUTE_MS
const WEEK_MS = 7 * DAY_MS
/** Between one label and the next, px. */
const GAP_PX = 16

/**
 * What stands under the marks of a time axis, each as short as can be: the full hour or the clock, and where a day begins
 * the day's name in its place. Marks less than a minute apart count seconds after the minute.
 */
export function timeLabels(marksMs: readonly number[], zone: Zone): string[] {
  const stepMs = (marksMs[1] ?? 0) - (marksMs[0] ?? 0)
  const far = (marksMs.at(-1) ?? 0) - (marksMs[0] ?? 0) >= WEEK_MS
  return marksMs.map(atMs => {
    if (calendarDays(atMs - 1, atMs, zone) === 1 || stepMs >= DAY_MS) return dayName(atMs, zone, far)
    const seconds = Math.round(atMs / 1000) % 60
    if (seconds !== 0) return `:${String(seconds).padStart(2, '0')}`
    return Math.round(atMs / MINUTE_MS) % 60 === 0 ? hourTime(atMs, zone) : clockTime(atMs, zone)
  })
}

/** How far apart the marks must be for their labels, px: as the widest clock of this zone measures, with a gap. */
export function timeSpace(zone: Zone, measure: (text: string) => number): number {
  // Ten to one at night: two digits everywhere, and the longer half of the day.
  const widest = Math.max(
    ...[0, 12].map(h => measure(clockTime(Date.UTC(2026, 0, 1, h, 50), { ...zone, timeZone: 'UTC' }))),
  )
  return Math.ceil(widest) + GAP_PX
}
