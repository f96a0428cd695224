import type { LotBelief } from '../contract.ts'
import { normalQuantile, quickShare } from '../normal.ts'

/**
 * The embryos of one lot: each needs its own number of degree-hours, log-normally spread around the lot's median, because
 * a requirement is never negative and late embryos straggle further than early ones lead.
 */
export type Population = Pick<LotBelief, 'medianDegH' | 'spread'>

/** Below this the ln-scale spread is taken as this: all hatch as good as at once. */
const LEAST_SIGMA = 1e-9

/**
 * Standard deviation on the ln scale of a log-normal whose standard deviation is `spread` medians: with w = exp(s²),
 * spread² = w (w - 1).
 */
export function lnSpread(spread: number): number {
  return Math.max(Math.sqrt(Math.log((1 + Math.sqrt(1 + 4 * spread * spread)) / 2)), LEAST_SIGMA)
}

/** The inverse of {@link lnSpread}: the standard deviation as a share of the median. */
export function spreadOf(sigma: number): number {
  const w = Math.exp(sigma * sigma)
  return Math.sqrt(w * (w - 1))
}

/** A population as loops want it: what would otherwise be worked out at every question. */
export interface Embryos {
  readonly lnMedian: number
  /** Standard deviation on the ln scale. */
  readonly sigma: number
  /** Mean requirement, °C·h. */
  readonly meanDegH: number
}

export function embryosOf({ medianDegH, spread }: Population): Embryos {
  const sigma = lnSpread(spread)
  return { lnMedian: Math.log(medianDegH), sigma, meanDegH: medianDegH * Math.exp((sigma * sigma) / 2) }
}

/** Share of the final number that has hatched at a development, 0 to 1. */
export function hatchedShare(population: Population, degH: number): number {
  return hatchedOf(embryosOf(population), degH)
}

export function hatchedOf({ lnMedian, sigma }: Embryos, degH: number): number {
  return degH > 0 ? quickShare((Math.log(degH) - lnMedian) / sigma) : 0
}

/** The development at which a share of the final number has hatched, °C·h: 0.1 for T10, 0.9 for T90. */
export function requirementOf(population: Population, share: number): number {
  return population.medianDegH * Math.exp(lnSpread(population.spread) * normalQuantile(share))
}

/** Integral of {@link hatchedShare} from 0 to a development, °C·h. In closed form for a log-normal. */
export function hatchedSoFar(population: Population, degH: number): number {
  return hatchedSoFarOf(embryosOf(population), degH)
}

export function hatchedSoFarOf({ lnMedian, sigma, meanDegH }: Embryos, degH: number): number {
  if (!(degH > 0)) return 0
  const z = (Math.log(degH) - lnMedian) / sigma
  return degH * quickShare(z) - meanDegH * quickShare(z - sigma)
}
