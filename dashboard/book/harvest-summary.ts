import { holdHours } from '../../broker/hatch/holding/holding.ts'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { HarvestEstimate } from '../batch/harvest-estimate.ts'
import { expectedWords } from '../words/hatch.ts'
import { limitsText, seenText } from '../words/seen.ts'
import { duration, moment, type Zone } from '../words/time.ts'
import { againstStirred, TOO_SOON_COUNT } from './harvest-words.ts'

/** What is known of a harvest when it ends. */
export interface Harvested {
  readonly batchId: string
  readonly vesselName: string
  /** The count of what was harvested; `null` where nobody counted. */
  readonly count: Pick<HarvestEstimate, 'nauplii' | 'hatchPercentage' | 'stirred' | 'tooSoon'> | null
  readonly expected: Pick<Forecast, 'naupliiBefore' | 'hatchShareBefore'> | null
  readonly events: readonly BatchEvent[]
}

const rounded = (count: number): string => Number(count.toPrecision(3)).toLocaleString('en-US')
const percent = (of: number): string => `${Math.round(of)}\u00a0%`

/** The end of a harvest in a few lines: the number with its limits, what hatched against what was expected, and where it all went. */
export function harvestSummary(
  { count, expected, events }: Omit<Harvested, 'batchId' | 'vesselName'>,
  nowMs: number,
  zone: Zone,
): { readonly number: string; readonly lines: readonly string[]; readonly taken: readonly string[] } {
  const lines: string[] = []
  const before = expected?.naupliiBefore
  if (count?.stirred) lines.push(againstStirred(count.nauplii, count.stirred))
  if (count?.tooSoon) lines.push(TOO_SOON_COUNT)
  else if (count && before)
    lines.push(
      `${expectedWords(before.p50)} were expected in the end (${rounded(before.p10)}–${rounded(before.p90)}).`,
    )
  const hatched = count?.tooSoon ? null : count?.hatchPercentage
  if (hatched) {
    const lot = expected?.hatchShareBefore
    const than = lot
      ? `; ${percent(100 * lot.p50)} were expected of its lot (${Math.round(100 * lot.p10)}–${Math.round(100 * lot.p90)})`
      : ''
    lines.push(
      `${percent(hatched.best)} of the cysts hatched, as counted (${Math.round(hatched.low)}–${Math.round(hatched.high)})${than}.`,
    )
  } else lines.push('Which share of the cysts hatched was not counted.')
  const taken = events.flatMap(event =>
    event.kind === 'taken' && event.withdrawnAt === null ? [takenText(event, nowMs, zone)] : [],
  )
  return {
    number: count
      ? `${rounded(count.nauplii.best)} nauplii (${limitsText(count.nauplii)})`
      : 'Nobody counted it',
    lines,
    taken: taken.length > 0 ? taken : ['Where the nauplii went was not written down.'],
  }
}

/** Of what is held, how long it lives there. */
function takenText(event: Extract<BatchEvent, { kind: 'taken' }>, nowMs: number, zone: Zone): string {
  const text = `${seenText(event)}.`
  if (event.for !== 'held' || event.coldC === null) return text
  const untilMs = Date.parse(event.at) + holdHours(event.coldC) * 3_600_000
  return untilMs > nowMs
    ? `${text} They keep until ${moment(untilMs, nowMs, zone)}, ${duration(untilMs - nowMs)} more.`
    : `${text} Their time is up: look whether they still swim.`
}
