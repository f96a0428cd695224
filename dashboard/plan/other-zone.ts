import { wallClock } from '../../broker/plan/local-time.ts'
import { calendarDays, clockTime, dayName, type Zone } from '../words/time.ts'

/** Whether two clocks show another time. */
export const differs = (atMs: number, zone: Zone, own: Zone): boolean =>
  wallClock(atMs, zone.timeZone) !== wallClock(atMs, own.timeZone)

/** `14:05 in Europe/Vienna and 08:05 by this screen's clock`; each with its day where it is not the same day. */
function bothTimes(atMs: number, zone: Zone, own: Zone, always: boolean): string {
  const dayOf = (of: Zone) => `${dayName(atMs, of, false)} ${dayName(atMs, of, true)}`
  const isApart = dayOf(zone) !== dayOf(own)
  const text = (of: Zone) => `${always || isApart ? `${dayOf(of)} ` : ''}${clockTime(atMs, of)}`
  return `${text(zone)} there, ${text(own)} by this screen’s clock`
}

/** An IANA zone as it is read: `America/New York`. */
export const zoneName = (timeZone: string): string => timeZone.replaceAll('_', ' ')

/**
 * Where this screen's clock differs from that of the zone that is planned in: that, with both times; empty where they agree from now to
 * the plan's end. Zones with other names and the same hours are one.
 */
export function otherZoneWords(zone: Zone, own: Zone, nowMs: number, untilMs: number): string {
  const begin = `All times of the plan are those of ${zoneName(zone.timeZone)}`
  if (differs(nowMs, zone, own)) return `${begin}: now it is ${bothTimes(nowMs, zone, own, false)}.`
  if (!differs(untilMs, zone, own)) return ''
  // Clocks are set forward or back before its end in one of the two.
  const days = Math.max(1, calendarDays(nowMs, untilMs, zone))
  return `${begin}. Now this screen’s clock agrees, in ${days} ${days === 1 ? 'day' : 'days'} no more: then it is ${bothTimes(untilMs, zone, own, true)}.`
}
