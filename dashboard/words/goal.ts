import type { Batch, Forecast } from '../../broker/web/api/schemas.ts'
import { lagText } from './delay.ts'
import { clockTime, moment, type Zone } from './time.ts'

export type Goal = Batch['goal']

/** In the order of their windows. */
export const GOALS: readonly Goal[] = ['smallest', 'balanced', 'most']

export const GOAL_WORDS: Record<Goal, { readonly name: string; readonly means: string }> = {
  smallest: { name: 'Smallest', means: 'for the smallest mouths: taken young' },
  balanced: { name: 'Balanced', means: 'most yolk in the vessel' },
  most: { name: 'Most food', means: 'most weight in the vessel' },
}

const LEAST_MOVE_MIN = 3

/** How the harvest window moved when another food was chosen. */
export function windowMoved(
  before: Forecast['harvest'],
  after: Forecast['harvest'],
  nowMs: number,
  zone: Zone,
): string {
  const fromMs = Date.parse(after.from)
  const now = `${moment(fromMs, nowMs, zone)}–${clockTime(Date.parse(after.until), zone)}`
  const movedH = (Date.parse(after.best) - Date.parse(before.best)) / 3_600_000
  if (Math.abs(movedH) * 60 < LEAST_MOVE_MIN) return `The window stays about where it was: ${now}.`
  return `The window's best moves by ${lagText(movedH)}; it is now ${now}.`
}
