/**
 * A control chart of individuals (X-mR): one value a batch, limits from how far neighbours differ.
 *
 * Limits are the mean ± 3 mean moving range / d2, with d2 = 1.128 for ranges of two (Shewhart's constants: Montgomery 2013,
 * Introduction to Statistical Quality Control, 7th ed., appendix table VI and section 6.4), which is ± 2.66 mean moving range; the
 * upper limit of the moving range is D4 = 3.267 times its mean (ibid.). Eight neighbours on one side of the mean, and two of three
 * beyond two thirds of the way to a limit: Western Electric 1956, Statistical Quality Control Handbook, p. 25 and 26.
 *
 * Batches that failed by themselves (air lost, too hot) say nothing of how the others differ: they are found first, by the median of
 * the moving ranges, which they hardly move, and left out of the limits (as Montgomery 2013, section 6.2.1, has it for a base).
 */

export const D2_OF_TWO = 1.128
export const D4_OF_TWO = 3.267
/** The median of a range of two, in standard deviations: √2 times the upper quartile of the normal distribution. */
export const MEDIAN_OF_TWO = 0.9539
/** The inner line, in standard deviations. */
const INNER = 2
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
  /** The second of three beyond the inner line on the low side. */
  twoLow: 'two-low',
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
    /** Two of three below this are as good a sign as one below the lower limit. */
    readonly innerLower: number
    readonly upperMovingRange: number
    /** From how many values. */
    readonly from: number
    /** How many of the first values were left out: batches that failed. */
    readonly leftOut: number
  } | null
}

export interface ChartOptions {
  /** The most that a value can be: 100 for per cent. */
  readonly greatest?: number
  /** From how many first values the limits are made. */
  readonly baseOf?: number
  /** What values differ by at the least, as a standard deviation at their mean: a few that happen to be alike promise no more. */
  readonly leastSd?: (mean: number) => number
}

/** @param values oldest first; those that are no finite numbers are left out */
export function controlChart(
  values: readonly ChartValue[],
  { greatest = Infinity, baseOf = BASE_OF, leastSd = () => 0 }: ChartOptions = {},
): ControlChart {
  const usable = values.filter(({ value, low, high }) => [value, low, high].every(Number.isFinite))
  const first = usable.slice(0, baseOf).map(({ value }) => value)
  if (first.length < LIMITS_FROM)
    return { values: usable.map(each => ({ ...each, signs: [] })), limits: null }
  const base = withoutFailed(first, leastSd)
  const mean = meanOf(base)
  const meanMovingRange = meanOf(rangesOf(base))
  const sd = Math.max(meanMovingRange / D2_OF_TWO, leastSd(mean))
  const limits = {
    mean,
    meanMovingRange,
    lower: Math.max(0, mean - 3 * sd),
    upper: Math.min(greatest, mean + 3 * sd),
    innerLower: Math.max(0, mean - INNER * sd),
    upperMovingRange: D4_OF_TWO * meanMovingRange,
    from: base.length,
    leftOut: first.length - base.length,
  }
  let run = 0
  const wasLow: boolean[] = []
  return {
    limits,
    values: usable.map(each => {
      const side = Math.sign(each.value - mean)
      run = side !== 0 && side === Math.sign(run) ? run + side : side
      wasLow.push(each.value < limits.innerLower)
      const isSecond = wasLow.at(-1) === true && wasLow.slice(-3).filter(Boolean).length >= 2
      return { ...each, signs: signsOf(each, limits, run, isSecond) }
    }),
  }
}

/** The first values without those that lie far below the middle of them: never so many that too few are left. */
function withoutFailed(first: readonly number[], leastSd: (mean: number) => number): readonly number[] {
  const middle = medianOf(first)
  const sd = Math.max(medianOf(rangesOf(first)) / MEDIAN_OF_TWO, leastSd(middle))
  const sound = first.filter(value => value >= middle - 3 * sd)
  return sound.length >= LIMITS_FROM - 1 ? sound : first
}

function signsOf(
  { value, low, high }: ChartValue,
  { lower, upper }: { lower: number; upper: number },
  run: number,
  isSecondLow: boolean,
) {
  const signs: ChartSign[] = []
  if (value < lower) signs.push(high < lower ? ChartSign.below : ChartSign.perhapsBelow)
  if (value > upper) signs.push(low > upper ? ChartSign.above : ChartSign.perhapsAbove)
  if (Math.abs(run) >= RUN_OF) signs.push(run < 0 ? ChartSign.runLow : ChartSign.runHigh)
  if (isSecondLow) signs.push(ChartSign.twoLow)
  return signs
}

const rangesOf = (values: readonly number[]): number[] =>
  values.slice(1).map((value, at) => Math.abs(value - (values[at] ?? value)))

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const middle = sorted.length >> 1
  const upper = sorted[middle] ?? NaN
  return sorted.length % 2 === 1 ? upper : (upper + (sorted[middle - 1] ?? NaN)) / 2
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length
}
