import type { Forecast } from '../../broker/web/api/forecast.ts'
import { digitsBeside, shortTemperature, temperatureText, type TemperatureUnit } from './temperature.ts'
import { moment, span, type Zone } from './time.ts'

type Reason = Forecast['why'][number]

/** Written to this, minutes: the forecast's own doubt is wider. */
const ROUND_MIN = 5
/** A forecast within this of its plan is on it, minutes. */
const ON_TIME_MIN = 15

/** How much later or sooner, always with its sign: `+1 h 50`, `−40 min`, `+2 h`. */
export function lagText(hours: number): string {
  const minutes = Math.round((hours * 60) / ROUND_MIN) * ROUND_MIN
  const sign = minutes < 0 ? '−' : '+'
  const whole = Math.floor(Math.abs(minutes) / 60)
  const rest = Math.abs(minutes) % 60
  if (whole === 0) return `${sign}${rest}\u00a0min`
  return rest === 0
    ? `${sign}${whole}\u00a0h`
    : `${sign}${whole}\u00a0h\u00a0${String(rest).padStart(2, '0')}`
}

/** In one line, whether the hatch keeps to what was planned at the start; empty when there is no reason to say anything. */
export function delaySummary(why: readonly Reason[]): string {
  if (why.length === 0) return ''
  const total = why.reduce((sum, { laterH }) => sum + laterH, 0)
  if (Math.abs(total) * 60 < ON_TIME_MIN) return 'As planned: what was lost was made up for'
  return `${total > 0 ? 'Later' : 'Sooner'} than planned: ${lagText(total)}`
}

/** So near the start, what is so since then was so from the start, ms. */
const AT_START_MS = 10 * 60_000

/** One reason in a sentence; `startedMs` is the batch's start. */
export function delaySentence(
  reason: Reason,
  unit: TemperatureUnit,
  startedMs: number,
  nowMs: number,
  zone: Zone,
): string {
  const { kind, since, waterC, plannedC } = reason
  const lag = lagText(reason.laterH)
  const instead =
    waterC === null || plannedC === null
      ? ''
      : ` (${shortTemperature(waterC, unit)} instead of ${shortTemperature(plannedC, unit)})`
  const sinceMs = since === null ? null : Date.parse(since)
  const when =
    sinceMs === null
      ? 'for a while, no longer'
      : sinceMs < startedMs + AT_START_MS
        ? 'from the start'
        : `since ${moment(sinceMs, nowMs, zone)}`
  // What nobody measured is not told as what was.
  if (reason.expected && (kind === 'cooler' || kind === 'warmer'))
    return `The water is expected to be ${kind} than planned${instead}: ${lag}.`
  switch (kind) {
    case 'cooler':
      return `Cooler than planned ${when}${instead}: ${lag}.`
    case 'warmer':
      return reason.laterH > 0
        ? `Warmer than planned ${when}${instead}, beyond what helps: ${lag}.`
        : `Warmer than planned ${when}${instead}: ${lag}.`
    case 'unmeasured': {
      const from = sinceMs === null ? '' : ` from ${moment(sinceMs, nowMs, zone)} on`
      return `No readings for a time${from}; the water is taken to have been${
        waterC === null ? ' otherwise than planned' : ` ${shortTemperature(waterC, unit)}`
      }: ${lag}.`
    }
    case 'slower-lot':
      return `This lot of cysts is slower than was believed at the start: ${lag}.`
    case 'faster-lot':
      return `This lot of cysts is faster than was believed at the start: ${lag}.`
  }
}

/**
 * Where the water is heading, when that is its heat limit; empty when it is not, or when the water reads as much already: that is told as
 * what it is. `heardMs` is when a water that is not heard now was last: what was so then is told as of then.
 */
export function headingText(
  heading: Forecast['heading'],
  unit: TemperatureUnit,
  nowMs: number,
  zone: Zone,
  waterC: number | null = null,
  heardMs: number | null = null,
): string {
  if (!heading || (waterC !== null && waterC >= heading.limitC)) return ''
  const { p10, p50, p90 } = heading.at
  const limit = temperatureText(heading.limitC, unit, digitsBeside(waterC, heading.limitC))
  const atMs = Date.parse(p50)
  if (heardMs !== null)
    return `Last heard ${moment(heardMs, nowMs, zone)}, on its way to ${limit}. Look at it.`
  if (atMs <= nowMs) return `On this course the water passes ${limit} now.`
  const earlyMs = Math.max(nowMs, Date.parse(p10))
  const lateMs = p90 === null ? null : Date.parse(p90)
  const at = moment(atMs, nowMs, zone)
  if (lateMs === null)
    return `On this course ${limit} at about ${at} (${moment(earlyMs, nowMs, zone)}, or not at all).`
  const isOne = moment(earlyMs, nowMs, zone) === moment(lateMs, nowMs, zone)
  return `On this course ${limit} at about ${at}${isOne ? '' : ` (${span(earlyMs, lateMs, nowMs, zone)})`}.`
}
