import type { DevelopmentTrace } from './development/development.ts'
import type { ExpectedWater } from './thermal/expected-water.ts'

/**
 * What the hatch model takes and gives: its final interface. Times are Unix ms, temperatures °C, development is in
 * degree-hours (°C·h) above the threshold. Everything below this folder is pure.
 */

/** A measured or assumed water temperature from a moment on. */
export interface WaterSample {
  readonly atMs: number
  readonly waterC: number
}

/** A quantity with its uncertainty: the 10th, 50th and 90th percentile. */
export interface Band {
  readonly p10: number
  readonly p50: number
  readonly p90: number
}

/** One way that a lot may be. */
export interface LotCase {
  /** Median requirement of the embryos, °C·h above the threshold. */
  readonly medianDegH: number
  /** Standard deviation of single embryos' requirement as a share of the median. */
  readonly spread: number
}

/**
 * What is believed of a lot of cysts as one batch of it will show: how many degree-hours its embryos need, as a
 * log-normal belief about their median, how far single embryos spread around it, and how many hatch at all.
 */
export interface LotBelief extends LotCase {
  /** ln-scale distance from the median to the 10th percentile of the belief (negative). */
  readonly lnLow: number
  /** ln-scale distance from the median to the 90th percentile of the belief (positive). */
  readonly lnHigh: number
  /** Share of cysts that hatch at all, 0 to 1. */
  readonly hatchShare: number
  /** How sure that is; as for a lot never seen when left out. */
  readonly hatch?: Band
  /** Full cysts in a gram; as for a lot never seen when left out. */
  readonly cystsPerG?: Band
  /**
   * Equally likely cases that say the belief more finely than one log-normal with one spread; left out, it is that. They
   * take precedence over `medianDegH`, `lnLow`, `lnHigh` and `spread`, which then only sum them up.
   */
  readonly cases?: readonly LotCase[]
  /**
   * The part of the doubt about the batch's development so far that these cases hold already, one standard deviation in
   * °C·h: what was seen after a gap was seen with the gap in it.
   */
  readonly heldDegHSd?: number
}

/** Which food is wanted: the trade's "smallest nauplii" is earlier, "most food" later. */
export const HarvestGoal = { balanced: 'balanced', smallest: 'smallest', most: 'most' } as const
export type HarvestGoal = (typeof HarvestGoal)[keyof typeof HarvestGoal]

/** Where a batch is on its way, from the middle of the forecast. */
export const Stage = {
  soaking: 'soaking',
  incubating: 'incubating',
  hatching: 'hatching',
  harvest: 'harvest',
  overdue: 'overdue',
} as const
export type Stage = (typeof Stage)[keyof typeof Stage]

export interface ForecastInput {
  readonly startedAtMs: number
  readonly nowMs: number
  /** Development so far, from `development.ts`. */
  readonly trace: DevelopmentTrace
  /** What the water is expected to do from now on, with the spread of that expectation, from `expected-water.ts`. */
  readonly expected: ExpectedWater
  readonly lot: LotBelief
  readonly goal: HarvestGoal
}

export interface Forecast {
  readonly atMs: number
  /** When 10 and 90 % of the final number have hatched, Unix ms. */
  readonly t10: Band
  readonly t90: Band
  readonly harvest: {
    /**
     * Usable food is within 5 % of its best between these. Where the lot is not known the window is wider: it holds while
     * that is at least half as likely as where it is likeliest.
     */
    readonly fromMs: number
    readonly bestMs: number
    readonly untilMs: number
    /** How sure the best moment is. */
    readonly best: Band
  }
  /** Share of the final number that has hatched by `atMs`, 0 to 1. */
  readonly hatchedNow: Band
  /** Shares of the final number that are at these stages at `atMs`, 0 to 1. */
  readonly stages: { readonly umbrella: Band; readonly instarI: Band; readonly instarII: Band }
  /** Energy of the mean living nauplius at `atMs`, as a share of what it hatched with; 1 before the first. */
  readonly energyLeft: Band
  /** Share of this batch's full cysts that hatch in the end, 0 to 1. */
  readonly hatchPercentage: Band
  /** Nauplii that a gram of dry cysts gives in the end. */
  readonly naupliiPerG: Band
  readonly goal: HarvestGoal
  readonly stage: Stage
  /** Development so far as a share of the lot's median requirement, from 0, may pass 1. */
  readonly progress: number
  /** The water temperature that the forecast expects from now on, °C. */
  readonly expectedWater: Band
  /** False when the water is expected to be too cool or too hot to reach the hatch within ten days: the times are then that horizon. */
  readonly reachesHatch: boolean
}
