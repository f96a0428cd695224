import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Batch } from '../../broker/web/api/batches.ts'
import { lagText } from './delay.ts'
import { span, type Zone } from './time.ts'

export type Goal = Batch['goal']

/** In the order of their windows. */
export const GOALS: readonly Goal[] = ['smallest', 'balanced', 'most']

export const GOAL_WORDS: Record<Goal, { readonly name: string; readonly means: string }> = {
  smallest: { name: 'Smallest', means: 'for the smallest mouths: taken young' },
  balanced: { name: 'Balanced', means: 'most yolk in the vessel' },
  most: { name: 'Most food', means: 'most weight in the vessel' },
}

const LEAST_MOVE_MIN = 3

/** So far a window moves by what is measured while its message stands; further, and the message is no longer of the choice. */
const STALE_MOVE_MIN = 30

/**
 * How the harvest window moved when another food was chosen, and where it is by the forecast of now. Empty once something else
 * has moved it by more than a little.
 */
export function windowMoved(
  before: Forecast['harvest'],
  after: Forecast['harvest'],
  nowMs: number,
  zone: Zone,
  current: Forecast['harvest'] = after,
): string {
  const sinceMin = Math.abs(Date.parse(current.best) - Date.parse(after.best)) / 60_000
  if (sinceMin > STALE_MOVE_MIN) return ''
  const fromMs = Date.parse(current.from)
  const now = span(fromMs, Date.parse(current.until), nowMs, zone)
  const movedH = (Date.parse(after.best) - Date.parse(before.best)) / 3_600_000
  if (Math.abs(movedH) * 60 < LEAST_MOVE_MIN) return `The window stays about where it was: ${now}.`
  return `The window's best moves by ${lagText(movedH)}; it is now ${now}.`
}
