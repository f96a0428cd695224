import type { LotBelief } from '../contract.ts'
import { normalQuantile, normalShare } from '../normal.ts'

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

/** Share of the final number that has hatched at a development, 0 to 1. */
export function hatchedShare(population: Population, degH: number): number {
  if (!(degH > 0)) return 0
  return normalShare(Math.log(degH / population.medianDegH) / lnSpread(population.spread))
}

/** The development at which a share of the final number has hatched, °C·h: 0.1 for T10, 0.9 for T90. */
export function requirementOf(population: Population, share: number): number {
  return population.medianDegH * Math.exp(lnSpread(population.spread) * normalQuantile(share))
}

/** Integral of {@link hatchedShare} from 0 to a development, °C·h. In closed form for a log-normal. */
export function hatchedSoFar(population: Population, degH: number): number {
  if (!(degH > 0)) return 0
  const sigma = lnSpread(population.spread)
  const z = Math.log(degH / population.medianDegH) / sigma
  const mean = population.medianDegH * Math.exp((sigma * sigma) / 2)
  return degH * normalShare(z) - mean * normalShare(z - sigma)
}
