import { normalShare } from '../normal.ts'
import { BATCH_LN_SD } from './batch-effect.ts'
import { ChartSign, type ControlChart, RUN_OF } from './control-chart.ts'
import { alongMedian, LN_MEDIANS, momentsOf, multiply, PRIOR } from './grid.ts'
import type { ChartOf } from './harvests.ts'
import type { BatchRecord } from './learn.ts'

/** The newest harvests of a lot against what is usual for it, by the chart that is drawn of them. */
export interface LotDecline {
  readonly by: ChartOf
  /** The mean that the limits stand around, and that of the harvests that show it: per cent, or nauplii from a gram. */
  readonly from: number
  readonly to: number
  /** Two of three below the inner line, or eight on end below the mean. */
  readonly sign: typeof ChartSign.twoLow | typeof ChartSign.runLow
  /** How many newest harvests on end lie below the line in question. */
  readonly onEnd: number
  /** The line: the inner one, or the mean. */
  readonly line: number
}

/** What the last harvest of a chart ends; `null` for nothing, and where there are no limits. */
export function declineOf({ values, limits }: ControlChart, by: ChartOf): LotDecline | null {
  const signs = values.at(-1)?.signs ?? []
  if (limits === null) return null
  const below = (line: number) => values.filter(({ value }) => value < line)
  const onEnd = (line: number) => values.length - 1 - values.findLastIndex(({ value }) => value >= line)
  const found = (
    sign: LotDecline['sign'],
    line: number,
    shownBy: readonly { value: number }[],
  ): LotDecline => ({
    by,
    sign,
    line,
    from: limits.mean,
    to: shownBy.reduce((sum, { value }) => sum + value, 0) / shownBy.length,
    onEnd: onEnd(line),
  })
  if (signs.includes(ChartSign.twoLow)) {
    const line = limits.innerLower
    const low = below(line)
    return found(ChartSign.twoLow, line, low.slice(-Math.max(onEnd(line), 2)))
  }
  if (signs.includes(ChartSign.runLow)) return found(ChartSign.runLow, limits.mean, values.slice(-RUN_OF))
  return null
}

/** The last batches of a lot took longer than it did before. */
export interface LotChange {
  /** Median requirement in °C·h, before, and as the last batches showed it. */
  readonly from: number
  readonly to: number
  /** How many last batches showed it. */
  readonly batches: number
  /** How likely batches so far off would be if the lot were as it was, however many were looked at together. */
  readonly chance: number
}

/** One unlucky batch is no change of the lot: at least two say so, each of them, one standard deviation off or more. */
const LAST = [2, 3, 4] as const
const EACH_OFF = 1
/** All of them together would be so far off once in two hundred; and it must matter. Own choice. */
const TOGETHER_OFF = 2.58
const LATER_BY = 0.08
/** What a lot was: as it was before the last batches, or, for a slow decline, after its first three counts. */
const KNOWN_AFTER = 2
const FIRST = 3

/** Whether the lot hatches later than it did; `null` where it does not. Records are of counted batches, oldest first. */
export function laterOf(counted: readonly BatchRecord[]): LotChange | null {
  const spans: { before: BatchRecord; last: readonly BatchRecord[] }[] = []
  for (const length of LAST) {
    const last = counted.slice(-length)
    const before = counted[counted.length - length - 1]
    if (before && counted.length - length >= KNOWN_AFTER) spans.push({ before, last })
    const first = counted[FIRST - 1]
    if (first && counted.length - length >= FIRST) spans.push({ before: first, last })
  }
  const found = spans.flatMap(({ before, last }) => {
    const change = offBy(
      medianOf(before.lotAfter),
      last.map(record => medianOf(multiply(PRIOR, record.shown))),
    )
    return change && change.to > change.from * (1 + LATER_BY) ? [change] : []
  })
  const best = found.reduce<LotChange | null>((a, b) => (a === null || b.chance < a.chance ? b : a), null)
  // The likeliest of several looks is found by chance as many times as often (Bonferroni).
  return best && { ...best, chance: Math.min(1, best.chance * spans.length) }
}

type Moments = ReturnType<typeof momentsOf>
const medianOf = (weight: Float64Array): Moments => momentsOf(alongMedian(weight), LN_MEDIANS)

/** How far the mean of the last lies from before, where every one of them and all together lie far off on the later side. */
function offBy(before: Moments, last: readonly Moments[]): LotChange | null {
  const variance = (one: Moments) => one.variance + BATCH_LN_SD * BATCH_LN_SD
  const isOff = (one: Moments) =>
    one.mean - before.mean > EACH_OFF * Math.sqrt(before.variance + variance(one))
  if (!last.every(isOff)) return null
  const n = last.length
  const mean = last.reduce((sum, one) => sum + one.mean, 0) / n
  const sd = Math.sqrt(before.variance + last.reduce((sum, one) => sum + variance(one), 0) / (n * n))
  const z = (mean - before.mean) / sd
  if (z <= TOGETHER_OFF) return null
  return { from: Math.exp(before.mean), to: Math.exp(mean), batches: n, chance: normalShare(-z) }
}
