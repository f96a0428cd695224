import { lnSpread } from '../population/population.ts'
import { lnOdds, shareOfOdds } from './odds.ts'
import { UNSEEN_HATCH_LN_ODDS_SD, unseenLot } from './lot.ts'
import { Z90 } from '../normal.ts'
import { BATCH_LN_SD } from './batch-effect.ts'

/**
 * The grid on which lots are learned: ln of the median requirement × ln-scale spread of single embryos × share that hatches. A
 * weight a cell, the hatching share running fastest. Everything on it is exact Bayes over these cells.
 */

/** Distance of neighbouring medians on the ln scale: no more than two standard deviations of what batches of one lot differ by. */
export const LN_STEP = 0.045
/** Where medians lie, ln °C·h: four standard deviations of the unseen lot to either side. */
export const LN_MEDIANS: readonly number[] = steps(Math.log(unseenLot.medianDegH) - 0.92, LN_STEP, 53)

/**
 * How far lots differ in their spread, ln scale. Around the unseen lot's 0.142, published times of one population give
 * ln(15.67 / 10) / 2.563 = 0.175 (T10 and T90: Eslava-Eljaiek, Wedler & Serna-Macias 2011), one and a half standard deviations away. Own choice.
 */
const SPREAD_LN_SD = 0.15
const SPREAD_Z = [-1.6, -0.8, 0, 0.8, 1.6]
export const SIGMAS: readonly number[] = SPREAD_Z.map(
  z => lnSpread(unseenLot.spread) * Math.exp(z * SPREAD_LN_SD),
)
/** Distance of neighbouring spreads on the ln scale. */
export const SIGMA_LN_STEP = 0.8 * SPREAD_LN_SD

/** Shares that hatch, evenly in their ln odds: from next to nothing, 0.9 %, to 96 %. */
export const ODDS_STEP = 0.5
export const ODDS: readonly number[] = steps(-4.75, ODDS_STEP, 17)
export const SHARES: readonly number[] = ODDS.map(shareOfOdds)
export const LN_SHARES: readonly number[] = SHARES.map(Math.log)

export const M = LN_MEDIANS.length
export const S = SIGMAS.length
export const H = SHARES.length

/** What is believed of a lot that nothing is known of, as weights that sum to 1. */
export const PRIOR: Float64Array = prior()
/** Its medians alone. */
export const PRIOR_OF_MEDIAN: Float64Array = alongMedian(PRIOR)

function prior(): Float64Array {
  const weight = new Float64Array(M * S * H)
  // The published band is of batches, so the lots themselves scatter by so much less as their batches do.
  const apart = (sd: number) => Math.sqrt(sd * sd - BATCH_LN_SD * BATCH_LN_SD)
  const low = apart(unseenLot.lnLow / Z90)
  const high = apart(unseenLot.lnHigh / Z90)
  const middle = Math.log(unseenLot.medianDegH)
  const oddsMiddle = lnOdds(unseenLot.hatchShare)
  for (let m = 0; m < M; m++) {
    const x = (LN_MEDIANS[m] ?? 0) - middle
    const below = bell(x / low) / low
    const above = bell(x / high) / high
    const ofMedian = Math.abs(x) < LN_STEP / 4 ? (below + above) / 2 : x < 0 ? below : above
    for (let s = 0; s < S; s++) {
      for (let h = 0; h < H; h++) {
        const ofShare = bell(((ODDS[h] ?? 0) - oddsMiddle) / UNSEEN_HATCH_LN_ODDS_SD)
        weight[(m * S + s) * H + h] = ofMedian * bell(SPREAD_Z[s] ?? 0) * ofShare
      }
    }
  }
  return normalize(weight)
}

/** Makes weights sum to 1, in place. */
export function normalize(weight: Float64Array): Float64Array {
  let sum = 0
  for (let at = 0; at < weight.length; at++) sum += weight[at] ?? 0
  return scale(weight, sum)
}

function scale(weight: Float64Array, sum: number): Float64Array {
  if (!(sum > 0)) return weight
  const factor = 1 / sum
  for (let at = 0; at < weight.length; at++) weight[at] = (weight[at] ?? 0) * factor
  return weight
}

/** The weights of the medians alone. */
export function alongMedian(weight: Float64Array): Float64Array {
  const row = S * H
  const sums = new Float64Array(weight.length / row)
  for (let m = 0; m < sums.length; m++) {
    let sum = 0
    for (let at = m * row; at < (m + 1) * row; at++) sum += weight[at] ?? 0
    sums[m] = sum
  }
  return sums
}

/** The weights of the hatching shares alone. */
export function alongShare(weight: Float64Array): Float64Array {
  const sums = new Float64Array(H)
  for (let row = 0; row < weight.length; row += H) {
    for (let h = 0; h < H; h++) sums[h] = (sums[h] ?? 0) + (weight[row + h] ?? 0)
  }
  return sums
}

/** The product of two, as weights that sum to 1. */
export function multiply(a: Float64Array, b: Float64Array): Float64Array {
  const product = new Float64Array(a.length)
  let sum = 0
  for (let at = 0; at < product.length; at++) sum += product[at] = (a[at] ?? 0) * (b[at] ?? 0)
  return scale(product, sum)
}

/** Weights of spread and share, summed over the medians, each median taken as often as `times` says; as they are by default. */
export function withoutMedian(weight: Float64Array, times?: Float64Array): Float64Array {
  const row = S * H
  const sums = new Float64Array(row)
  for (let m = 0; m * row < weight.length; m++) {
    const factor = times === undefined ? 1 : (times[m] ?? 0)
    for (let at = 0; at < row; at++) sums[at] = (sums[at] ?? 0) + factor * (weight[m * row + at] ?? 0)
  }
  return sums
}

/** Mean and variance of weights over evenly spaced places. */
export function momentsOf(
  weight: Float64Array,
  places: readonly number[],
): { readonly mean: number; readonly variance: number } {
  let sum = 0
  let mean = 0
  let square = 0
  for (let at = 0; at < weight.length; at++) {
    const one = weight[at] ?? 0
    const place = places[at] ?? 0
    sum += one
    mean += one * place
    square += one * place * place
  }
  if (!(sum > 0)) return { mean: 0, variance: Infinity }
  return { mean: mean / sum, variance: Math.max(0, square / sum - (mean / sum) ** 2) }
}

export function bell(z: number): number {
  return Math.exp((-z * z) / 2)
}

export function steps(from: number, step: number, count: number): number[] {
  return Array.from({ length: count }, (_, at) => from + at * step)
}
