import type { HarvestGoal } from '../contract.ts'

/**
 * Nauplii age in degree-hours too, so that cool water keeps them young. Published ages are hours "at hatching temperature",
 * taken here as 27 °C, the middle of the trade's 80 to 82 °F: 16 °C above the threshold.
 */
export const DEG_H_PER_HOUR = 16

/**
 * The moult to instar II comes about 8 h after hatching (from memory, no source seen); single nauplii are taken to moult
 * at any age between these with the same likelihood, hours. Own choice.
 */
export const MOULT_FROM_H = 6
export const MOULT_UNTIL_H = 10

/** A straight-line curve over a nauplius's age, by its corners. */
export type AgeCurve = readonly (readonly [ageH: number, worth: number])[]

/** Beyond this age nothing is reckoned any more, hours. */
const OLDEST_H = 240

/**
 * Energy that a nauplius still has at an age, and dry weight, as shares of what it hatched with. The moult costs 27 % of the
 * energy and 20 % of the dry weight (San Francisco Bay); over 24 h energy falls 22-37 % and dry weight 16-34 % across strains
 * (Vanhaecke, Lavens & Sorgeloos 1983). The 2.5 % that brings a day's energy loss to the middle of its range (29.5 %) is spread
 * evenly; dry weight gets the same and ends at 22.5 %.
 */
export const ENERGY: AgeCurve = lossAtMoult(0.27)
export const DRY_WEIGHT: AgeCurve = lossAtMoult(0.2)

/** Whether a nauplius is still an instar I, in the mean over all of one age. */
export const INSTAR_I: AgeCurve = [
  [0, 1],
  [MOULT_FROM_H, 1],
  [MOULT_UNTIL_H, 0],
]

/**
 * What a nauplius is worth at an age. - balanced: energy left. - most: dry weight left. - smallest: only the just hatched
 * count, falling to nothing at 4 h. The trade takes the smallest nauplii at 18 h where it takes the rest at 24 h (common
 * practice, no source); for the middle lot at 27 °C this curve opens their window at 18.6 h. Own choice.
 */
export const WORTH: Readonly<Record<HarvestGoal, AgeCurve>> = {
  balanced: ENERGY,
  most: DRY_WEIGHT,
  smallest: [
    [0, 1],
    [4, 0],
  ],
}

function lossAtMoult(lost: number): AgeCurve {
  const steady = (ageH: number) => 1 - (0.025 * ageH) / 24
  return [
    [0, 1],
    [MOULT_FROM_H, steady(MOULT_FROM_H)],
    [MOULT_UNTIL_H, steady(MOULT_UNTIL_H) - lost],
    [OLDEST_H, steady(OLDEST_H) - lost],
  ]
}
