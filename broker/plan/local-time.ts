const DAY_MS = 86_400_000
const MINUTE_MS = 60_000

/** A day of the calendar, as `Date.UTC` counts it: midnight in UTC, ms. */
export type CalendarDay = number

const formats = new Map<string, Intl.DateTimeFormat>()
function formatOf(zone: string): Intl.DateTimeFormat {
  const known = formats.get(zone)
  if (known) return known
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone: zone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  })
  formats.set(zone, format)
  return format
}

/** What a wall clock in the zone shows, written as if it were UTC, ms; whole seconds. */
export function wallClock(atMs: number, zone: string): number {
  const part: Record<string, number> = {}
  for (const { type, value } of formatOf(zone).formatToParts(atMs)) part[type] = Number(value)
  const { year = 0, month = 1, day = 1, hour = 0, minute = 0, second = 0 } = part
  return Date.UTC(year, month - 1, day, hour, minute, second)
}

/** The calendar day that it is in the zone. */
export function dayOf(atMs: number, zone: string): CalendarDay {
  return Math.floor(wallClock(atMs, zone) / DAY_MS) * DAY_MS
}

/** Minutes since midnight on the wall clock. */
export function minuteOfDay(atMs: number, zone: string): number {
  const wall = wallClock(atMs, zone)
  return Math.floor((wall - Math.floor(wall / DAY_MS) * DAY_MS) / MINUTE_MS)
}

/** `HH:MM` as minutes; throws for what is none. */
export function minutesOf(time: string): number {
  const match = /^([01]\d|2[0-3]):([0-5]\d)$/.exec(time)
  if (!match) throw new RangeError(`Cannot read time of day: it must be like 07:30, got ${time}`)
  return Number(match[1]) * 60 + Number(match[2])
}

/**
 * The moment at which a wall clock in the zone shows this time on this day. A time that the clocks skip in spring is so much
 * later as they skip; of a time that comes twice in autumn it is the first: as RFC 5545, section 3.3.5, has it.
 */
export function momentAt(day: CalendarDay, minutes: number, zone: string): number {
  const wall = day + minutes * MINUTE_MS
  const before = wall - offsetAt(wall - DAY_MS, zone)
  if (wallClock(before, zone) === wall) return before
  const after = wall - offsetAt(wall + DAY_MS, zone)
  return wallClock(after, zone) === wall ? after : before
}

/** How far the wall clock is ahead of UTC, ms. */
function offsetAt(atMs: number, zone: string): number {
  const whole = Math.floor(atMs / 1000) * 1000
  return wallClock(whole, zone) - whole
}

/** The calendar days from one moment to another, both included. */
export function daysBetween(fromMs: number, toMs: number, zone: string): CalendarDay[] {
  const days: CalendarDay[] = []
  for (let day = dayOf(fromMs, zone); day <= dayOf(toMs, zone); day += DAY_MS) days.push(day)
  return days
}
