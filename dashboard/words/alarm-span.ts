import type { Alarm } from '../../broker/web/api/schemas.ts'
import { hasCome, isOver } from './alarm.ts'
import { duration, moment, next, type Zone } from './time.ts'

/**
 * From when to when, and who has seen it: `since 03:10, 12 min`, `from 03:10 to 03:25, 15 min; back now`. Of a warning `came` is the
 * alarm of what it warned of, if that stands: since then it is so.
 */
export function alarmSpan(alarm: Alarm, nowMs: number, zone: Zone, came?: Alarm): string {
  const fromMs = Date.parse(alarm.raisedAt)
  const from = moment(fromMs, nowMs, zone)
  const since = (sinceMs: number) => `since ${moment(sinceMs, nowMs, zone)}, ${duration(nowMs - sinceMs)}`
  const span = isOver(alarm)
    ? overSpan(alarm, fromMs, from, nowMs, zone)
    : hasCome(alarm)
      ? `${came ? `${since(Date.parse(came.raisedAt))}; ` : ''}warned of ${from}`
      : since(fromMs)
  return `${span}${seen(alarm, nowMs, zone, hasCome(alarm) ? came : undefined)}`
}

function overSpan(
  { clearedAt, rule }: Alarm,
  fromMs: number,
  from: string,
  nowMs: number,
  zone: Zone,
): string {
  // A clock jumps at a moment.
  if (clearedAt === null || rule === 'clock-jumped' || rule === 'data-restored') return `${from}; over now`
  const toMs = Date.parse(clearedAt)
  return `from ${from} to ${next(toMs, fromMs, nowMs, zone)}, ${duration(toMs - fromMs)}; back now`
}

function seen(
  { acknowledgedAt, acknowledgedBy, acknowledgedBefore: before, raisedAt }: Alarm,
  nowMs: number,
  zone: Zone,
  came: Alarm | undefined,
): string {
  const by = (name: string | null) => (name ? ` by ${name}` : '')
  const at = (time: string) => moment(Date.parse(time), nowMs, zone)
  // Whoever saw the warning has not seen that it came.
  const isOfWarning = (time: string) => came !== undefined && Date.parse(time) < Date.parse(came.raisedAt)
  if (acknowledgedAt !== null && isOfWarning(acknowledgedAt))
    return `; the warning was seen${by(acknowledgedBy)} ${at(acknowledgedAt)}`
  if (acknowledgedAt !== null) return `; seen${by(acknowledgedBy)} ${at(acknowledgedAt)}`
  if (!before) return ''
  if (isOfWarning(before.at)) return `; the warning was seen${by(before.by)} ${at(before.at)}`
  // It was over meanwhile, or it has held all the time since.
  return Date.parse(before.at) < Date.parse(raisedAt)
    ? `; came back, was seen${by(before.by)} ${at(before.at)}`
    : `; was seen${by(before.by)} ${at(before.at)}, and calls again`
}

/** What to do first. What is over needs no hand any more, and what stands for a reset says so. */
export function firstAct(alarm: Alarm): string {
  switch (alarm.state) {
    case 'return-to-normal-unacknowledged':
      return 'Nothing to do now. See why it happened, and acknowledge it.'
    case 'latched':
      return 'It is over, and stays up until it is reset. Acknowledge it, and see why it happened.'
    case 'latched-acknowledged':
      return 'It is over. See why it happened, then reset it.'
    default:
      return alarm.action
  }
}

/** A number and its unit of time are read as one thing: no line ends between them. */
export const unbroken = (text: string): string => text.replace(/(\d) (s|min|h|days)\b/g, '$1\u00a0$2')
