import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { gramsText, litresText } from '../words/amounts.ts'
import { theLot } from '../words/lot-name.ts'
import { moment, type Zone } from '../words/time.ts'

/** A ring of cysts sticks above the water line from then on (common practice, no source), ms. */
const RING_AFTER_MS = 4 * 3_600_000

/** What was started, where, and what comes first: `Started: Cone 3, lot B, 2.5 g in 1 L. Knock the ring down at 14:10, first look at 02:40.` */
export function startedText(
  name: string,
  { litres, cystsG, lot, startedAt }: Pick<Batch, 'litres' | 'cystsG' | 'lot' | 'startedAt'>,
  forecast: Pick<Forecast, 't10' | 'reachesHatch'> | null,
  nowMs: number,
  zone: Zone,
  isUncleaned = false,
): string {
  const what = [name, ...(lot === null ? [] : [theLot(lot)]), `${gramsText(cystsG)} in ${litresText(litres)}`]
  // What lies behind is not announced: the batch was entered late, or its page stood open for long.
  const lookMs = forecast?.reachesHatch ? Date.parse(forecast.t10.p50) : -Infinity
  const ringMs = Date.parse(startedAt) + RING_AFTER_MS
  const next = [
    ...(ringMs > nowMs ? [`knock the ring down ${at(ringMs, nowMs, zone)}`] : []),
    ...(lookMs > nowMs ? [`first look ${at(lookMs, nowMs, zone)}`] : []),
  ].join(', ')
  const sentence = next === '' ? '' : ` ${next.charAt(0).toUpperCase()}${next.slice(1)}.`
  const cleaning = isUncleaned
    ? ' The cleaning that was due before it was not ticked off: it is asked for again once this batch has ended.'
    : ''
  return `Started: ${what.join(', ')}.${sentence}${cleaning}`
}

/** `at 14:10`, `tomorrow 02:40`. */
function at(atMs: number, nowMs: number, zone: Zone): string {
  const text = moment(atMs, nowMs, zone)
  return /^\d/u.test(text) ? `at ${text}` : text
}
