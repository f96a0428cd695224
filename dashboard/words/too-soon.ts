import { HowEarly, howEarly } from '../../broker/hatch/development/earliest-hatch.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import { duration } from './time.ts'

/** Below this share at most there is nothing to harvest by the model. Own choice. */
const HARDLY_OUT = 0.02

/** Whether nothing of a batch can have hatched by then, whatever its lot and its water. */
export const cannotBeOf = ({ startedAt }: Pick<Batch, 'startedAt'>, atMs: number): boolean =>
  howEarly(atMs - Date.parse(startedAt)) === HowEarly.impossible

/** What is asked before a batch is harvested of which nothing, or hardly any, can be out: is it the right one? Empty for nothing. */
export function tooSoonText(
  batch: Pick<Batch, 'startedAt'>,
  forecast: Pick<Forecast, 'hatchedNow' | 'firstSeenAt'> | null,
  nowMs: number,
): string {
  const old = `This batch is ${duration(Math.max(0, nowMs - Date.parse(batch.startedAt)))} old`
  if (cannotBeOf(batch, nowMs)) return `${old}: nothing of it can have hatched yet. Is it the right one?`
  if (!forecast || forecast.firstSeenAt !== undefined || forecast.hatchedNow.p90 >= HARDLY_OUT) return ''
  return `${old}, and hardly any of it can be out yet, by what is known of its water and its lot. Is it the right one?`
}

/** Why a count can hardly be of this batch, and what becomes of it; empty where it can. */
export function tooSoonCountText(batch: Pick<Batch, 'startedAt'>, nauplii: number, atMs: number): string {
  if (nauplii === 0 || !cannotBeOf(batch, atMs)) return ''
  // The same at every tap: words that counted the minutes would be new ones each time, and asked for anew.
  return 'Nothing of this batch could have hatched by then. Is it the right one? The count is kept in the log, and does not count towards its lot.'
}
