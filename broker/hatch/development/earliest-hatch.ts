import { HOUR_MS } from '../units.ts'

/**
 * The earliest that nauplii were published to swim, h after the cysts went into the water: 8 h at 30 °C and 14 g/l, A. franciscana (San
 * Francisco Bay), in a secondary compilation. At 24 °C it is 10 to 17 h.
 */
export const EARLIEST_PUBLISHED_H = 8
/**
 * Before this nothing swims whatever the lot, h: cysts take up water for 1 to 2 h and break their shell hours after that (New 2002, FAO
 * Fisheries Technical Paper 428, Annex 4: breaking at 12 to 20 h). Half of the earliest published; own choice.
 */
export const NEVER_BEFORE_H = EARLIEST_PUBLISHED_H / 2

export const HowEarly = { impossible: 'impossible', unlikely: 'unlikely', usual: 'usual' } as const
export type HowEarly = (typeof HowEarly)[keyof typeof HowEarly]

/** Whether first swimmers can be so soon after the cysts went into the water, ms. */
export function howEarly(sinceStartMs: number): HowEarly {
  if (!(sinceStartMs >= NEVER_BEFORE_H * HOUR_MS)) return HowEarly.impossible
  return sinceStartMs < EARLIEST_PUBLISHED_H * HOUR_MS ? HowEarly.unlikely : HowEarly.usual
}
