import type { Hours } from './people.ts'

const DAY_MINUTES = 1440
const clocks = new Map<string, Intl.DateTimeFormat>()

/** Whether a moment, Unix ms, lies within the hours, as the clock on the wall of that zone shows it. The end is not within. */
export function withinHours(hours: Hours | null, atMs: number): boolean {
  if (hours === null) return true
  const from = minutesOf(hours.from)
  const length = (minutesOf(hours.to) - from + DAY_MINUTES) % DAY_MINUTES || DAY_MINUTES
  return (wallMinutes(hours.zone, atMs) - from + DAY_MINUTES) % DAY_MINUTES < length
}

/** Whether this machine knows the zone. */
export function isZone(zone: string): boolean {
  try {
    return clockOf(zone) !== undefined
  } catch {
    return false
  }
}

/** `04:57`, as the clock on the wall of that zone shows it. */
export const wallTime = (zone: string, atMs: number): string => clockOf(zone).format(atMs)

function wallMinutes(zone: string, atMs: number): number {
  const parts = clockOf(zone).formatToParts(atMs)
  const part = (type: 'hour' | 'minute') => Number(parts.find(each => each.type === type)?.value)
  return part('hour') * 60 + part('minute')
}

/** To make one costs a thousand times what asking it does. */
function clockOf(zone: string): Intl.DateTimeFormat {
  let clock = clocks.get(zone)
  if (clock === undefined) {
    clock = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      hour: '2-digit',
      minute: '2-digit',
      hourCycle: 'h23',
    })
    clocks.set(zone, clock)
  }
  return clock
}

function minutesOf(time: string): number {
  const [hours, minutes] = time.split(':')
  return Number(hours) * 60 + Number(minutes)
}
