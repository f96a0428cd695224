import type { Band, LotBelief } from '../contract.ts'
import { Z90 } from '../normal.ts'
import { lnOdds, shareOfOdds } from './odds.ts'

/**
 * What is believed of a lot that was never counted.
 *
 * Median and spread come from the published rows for San Francisco Bay A. franciscana at 35 g/L (read in a secondary
 * compilation, so a lead): 20 °C, 25 h to the first nauplii and 38 h to 80 %; 24 °C, 17 h and 25 h. Above 11 °C these are
 *
 * | | first nauplii | 80 % |
 * | --- | --- | --- |
 * | 20 °C | 25 h × 9 = 225 | 38 h × 9 = 342 |
 * | 24 °C | 17 h × 13 = 221 | 25 h × 13 = 325 |
 * | mean | 223 °C·h | 333.5 °C·h |
 *
 * The first nauplii seen are taken as the 2.3 % quantile (two standard deviations early: own choice), the other as the 80 %
 * quantile (z = 0.8416), so on the ln scale the standard deviation is ln(333.5 / 223) / 2.8416 = 0.1416 and the median
 * 333.5 / exp(0.8416 × 0.1416) = 296 °C·h; as a share of the median the deviation is 0.144.
 *
 * How fast a lot hatches is the lot's own (Vanhaecke & Sorgeloos 1982, Aquacultural Engineering 1:263), and other rows of
 * the same strain scatter from 130 to 250 °C·h for the first and to 590 °C·h for 80 %, so the band is -25 % to +60 %.
 *
 * The share that hatches at all: 200,000 nauplii per gram, the lower end of a good product (Treece 2000, SRAC Publication
 * 702), of the 275,000 cysts that a gram can hold (3.64 µg each: Clegg).
 */
export const unseenLot: LotBelief = {
  medianDegH: 296,
  lnLow: Math.log(0.75),
  lnHigh: Math.log(1.6),
  spread: 0.144,
  hatchShare: 200_000 / 275_000,
}

/** The lot's median requirement at a distance of `z` standard deviations within the belief, °C·h. */
export function lotMedianAt(lot: LotBelief, z: number): number {
  return lot.medianDegH * Math.exp(z < 0 ? (z / -Z90) * lot.lnLow : (z / Z90) * lot.lnHigh)
}

/** The lot's median requirement with its band, °C·h. */
export function lotMedianBand(lot: LotBelief): Band {
  return { p10: lotMedianAt(lot, -Z90), p50: lot.medianDegH, p90: lotMedianAt(lot, Z90) }
}

/** How unsure the hatching percentage of a lot never seen is, one standard deviation of its ln odds: a good half to nine in ten. Own choice. */
export const UNSEEN_HATCH_LN_ODDS_SD = 0.8

/**
 * Full cysts in a gram: 252,678 in a counted product, and never more than 275,000 of 3.64 µg (Clegg). How far lots differ,
 * as an ln-scale standard deviation, is an own choice.
 */
export const CYSTS_PER_G = 252_678
export const CYSTS_PER_G_LN_SD = 0.08

/** Share of the cysts that hatch in the end, with its band. */
export function hatchBand(lot: LotBelief): Band {
  if (lot.hatch) return lot.hatch
  const at = (z: number) => shareOfOdds(lnOdds(lot.hatchShare) + z * UNSEEN_HATCH_LN_ODDS_SD)
  return { p10: at(-Z90), p50: at(0), p90: at(Z90) }
}

/** Nauplii that a gram gives in the end. The two doubts are independent, so their ln distances add up in squares. */
export function naupliiPerGBand(lot: LotBelief): Band {
  const hatch = hatchBand(lot)
  const cysts = lot.cystsPerG ?? cystsPerGBand(Math.log(CYSTS_PER_G), CYSTS_PER_G_LN_SD)
  const p50 = hatch.p50 * cysts.p50
  const apart = (p: 'p10' | 'p90') =>
    Math.hypot(Math.log(hatch[p] / hatch.p50), Math.log(cysts[p] / cysts.p50))
  return { p10: p50 * Math.exp(-apart('p10')), p50, p90: p50 * Math.exp(apart('p90')) }
}

export function cystsPerGBand(lnMean: number, lnSd: number): Band {
  const at = (z: number) => Math.exp(lnMean + z * lnSd)
  return { p10: at(-Z90), p50: at(0), p90: at(Z90) }
}
