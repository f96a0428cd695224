/**
 * A control chart of individuals (X-mR): one value a batch, limits from how far neighbours differ.
 *
 * Limits are the mean ± 3 mean moving range / d2, with d2 = 1.128 for ranges of two (Shewhart's constants: Montgomery 2013,
 * Introduction to Statistical Quality Control, 7th ed., appendix table VI and section 6.4), which is ± 2.66 mean moving range; the
 * upper limit of the moving range is D4 = 3.267 times its mean (ibid.). Eight neighbours on one side of the mean: Western
 * Electric 1956, Statistical Quality Control Handbook, p. 26.
 */

export const D2_OF_TWO = 1.128
export const D4_OF_TWO = 3.267
/** Values on one side in a row that chance hardly gives (0.4 %). */
export const RUN_OF = 8
/**
 * From so few on limits are drawn at all, and from so many first ones they are made: what comes later is judged against how the lot was.
 * Montgomery wants 20 to 25; but a tin gives some thirty batches, and a decline must not widen the limits that it is told by. Own choices.
 */
export const LIMITS_FROM = 5
export const BASE_OF = 10

export interface ChartValue {
  readonly atMs: number
  readonly value: number
  /** Limits of the value itself at 95 %, from its count. */
  readonly low: number
  readonly high: number
}

export const ChartSign = {
  /** Below the lower limit, and the count's own limits leave no doubt. */
  below: 'below',
  /** Below it, but the count is not sure enough to say so. */
  perhapsBelow: 'perhaps-below',
  above: 'above',
  perhapsAbove: 'perhaps-above',
  /** The last of eight or more in a row on the low side of the mean, or on the high one. */
  runLow: 'run-low',
  runHigh: 'run-high',
} as const
export type ChartSign = (typeof ChartSign)[keyof typeof ChartSign]

export interface ControlChart {
  readonly values: readonly (ChartValue & { readonly signs: readonly ChartSign[] })[]
  /** `null` with fewer than {@link LIMITS_FROM} values. */
  readonly limits: {
    readonly mean: number
    readonly meanMovingRange: number
    /** Never below 0: there are no fewer nauplii. */
    readonly lower: number
    readonly upper: number
    readonly upperMovingRange: number
    /** From how many values. */
    readonly from: number
  } | null
}

/**
 * @param values oldest first; those that are no finite numbers are left out
 * @param greatest the most that a value can be: 100 for per cent
 * @param baseOf from how many first values the limits are made
 */
export function controlChart(
  values: readonly ChartValue[],
  greatest = Infinity,
  baseOf: number = BASE_OF,
): ControlChart {
  const usable = values.filter(({ value, low, high }) => [value, low, high].every(Number.isFinite))
  const base = usable.slice(0, baseOf).map(({ value }) => value)
  if (base.length < LIMITS_FROM) return { values: usable.map(each => ({ ...each, signs: [] })), limits: null }
  const mean = meanOf(base)
  const meanMovingRange = meanOf(base.slice(1).map((value, at) => Math.abs(value - (base[at] ?? value))))
  const apart = (3 * meanMovingRange) / D2_OF_TWO
  const limits = {
    mean,
    meanMovingRange,
    lower: Math.max(0, mean - apart),
    upper: Math.min(greatest, mean + apart),
    upperMovingRange: D4_OF_TWO * meanMovingRange,
    from: base.length,
  }
  let run = 0
  return {
    limits,
    values: usable.map(each => {
      const side = Math.sign(each.value - mean)
      run = side !== 0 && side === Math.sign(run) ? run + side : side
      return { ...each, signs: signsOf(each, limits, run) }
    }),
  }
}

function signsOf(
  { value, low, high }: ChartValue,
  { lower, upper }: { lower: number; upper: number },
  run: number,
) {
  const signs: ChartSign[] = []
  if (value < lower) signs.push(high < lower ? ChartSign.below : ChartSign.perhapsBelow)
  if (value > upper) signs.push(low > upper ? ChartSign.above : ChartSign.perhapsAbove)
  if (Math.abs(run) >= RUN_OF) signs.push(run < 0 ? ChartSign.runLow : ChartSign.runHigh)
  return signs
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length
}
