import { quickShare } from '../normal.ts'
import type { AgeCurve } from './age.ts'
import { DEG_H_PER_HOUR, ENERGY, INSTAR_I } from './age.ts'
import { type Embryos, hatchedOf, hatchedSoFarOf } from './population.ts'

/**
 * Shares of an embryo's own requirement at which it hangs out of its shell as an umbrella; embryos differ, and the mean over
 * these is taken. Shells break at 12 to 20 h (FAO Fisheries Technical Paper 428, Annex 4); at 26.5 °C the middle lot's first hatch at
 * 14.4 h, its last at 25.4 h, so breaking is at 0.82 of the way to the hatch. The umbrella comes between there and the
 * hatch: its beginning is spread evenly over the middle half of that. Own choice.
 */
export const UMBRELLA_FROM = [0.865, 0.91, 0.955] as const
const LN_UMBRELLA_FROM = UMBRELLA_FROM.map(Math.log)

/** Where a population is at one development. Shares are of the final number, 0 to 1. */
export interface StageShares {
  readonly hatched: number
  readonly umbrella: number
  readonly instarI: number
  readonly instarII: number
  /** Mean of the hatched, as a share of what they hatched with; 1 before the first. */
  readonly energyLeft: number
}

export function stageShares(embryos: Embryos, degH: number): StageShares {
  const hatched = hatchedOf(embryos, degH)
  const instarI = weighedByAge(embryos, INSTAR_I, degH)
  const energy = weighedByAge(embryos, ENERGY, degH)
  return {
    hatched,
    umbrella: Math.max(0, emergedOf(embryos, degH) - hatched),
    instarI: Math.min(Math.max(instarI, 0), hatched),
    instarII: Math.min(Math.max(hatched - instarI, 0), hatched),
    energyLeft: hatched > 1e-6 ? Math.min(energy / hatched, 1) : 1,
  }
}

/** Share of the final number that hangs out or has hatched, 0 to 1. */
export function emergedOf(embryos: Embryos, degH: number): number {
  if (!(degH > 0)) return 0
  const ln = Math.log(degH) - embryos.lnMedian
  let sum = 0
  for (const lnFrom of LN_UMBRELLA_FROM) sum += quickShare((ln - lnFrom) / embryos.sigma)
  return sum / LN_UMBRELLA_FROM.length
}

/**
 * The hatched, each weighed by a curve over its age, as a share of the final number. Exact: with straight pieces it is a
 * sum of integrals of the hatched share.
 */
export function weighedByAge(embryos: Embryos, curve: AgeCurve, degH: number): number {
  let weighed = hatchedOf(embryos, degH)
  let [fromH, fromWorth] = curve[0] ?? [0, 0]
  let young = hatchedSoFarOf(embryos, degH - fromH * DEG_H_PER_HOUR)
  for (let at = 1; at < curve.length && young > 0; at++) {
    const [toH, toWorth] = curve[at] ?? [0, 0]
    const old = hatchedSoFarOf(embryos, degH - toH * DEG_H_PER_HOUR)
    weighed += ((toWorth - fromWorth) / ((toH - fromH) * DEG_H_PER_HOUR)) * (young - old)
    fromH = toH
    fromWorth = toWorth
    young = old
  }
  return weighed
}
