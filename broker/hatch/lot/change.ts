import { normalShare } from '../normal.ts'
import { BATCH_LN_SD, BATCH_ODDS_SD } from './batch-effect.ts'
import { alongMedian, alongShare, LN_MEDIANS, momentsOf, multiply, ODDS, PRIOR } from './grid.ts'
import type { BatchRecord } from './learn.ts'
import { shareOfOdds } from './odds.ts'

/** The last batches of a lot against what it was before. */
export interface LotChange {
  /** What it was before, and what the last batches showed: share that hatches, or median requirement in °C·h. */
  readonly from: number
  readonly to: number
  /** How many last batches showed it. */
  readonly batches: number
  /** How likely batches so far off would be if the lot were as it was. */
  readonly chance: number
}

/** One unlucky batch is no change of the lot: at least two say so, each of them, one standard deviation off or more. */
const LAST = [2, 3, 4] as const
const EACH_OFF = 1
/** All of them together would be so far off once in two hundred; and it must matter. Own choice. */
const TOGETHER_OFF = 2.58
const LESS_BY = 0.15
const LATER_BY = 0.08
/** What a lot was: as it was before the last batches, or, for a slow decline, after its first three counts. */
const KNOWN_AFTER = 2
const FIRST = 3

/** Whether the lot hatches less or later than it did; `null` where it does not. Records are of counted batches, oldest first. */
export function changeOf(counted: readonly BatchRecord[]): {
  readonly less: LotChange | null
  readonly later: LotChange | null
} {
  const spans: { before: BatchRecord; last: readonly BatchRecord[] }[] = []
  for (const length of LAST) {
    const last = counted.slice(-length)
    const before = counted[counted.length - length - 1]
    if (before && counted.length - length >= KNOWN_AFTER) spans.push({ before, last })
    const first = counted[FIRST - 1]
    if (first && counted.length - length >= FIRST) spans.push({ before: first, last })
  }
  const less = spans.map(({ before, last }) =>
    offBy(
      oddsOf(before.lotAfter),
      last.map(record => oddsOf(multiply(PRIOR, record.shown))),
      BATCH_ODDS_SD,
      -1,
    ),
  )
  const later = spans.map(({ before, last }) =>
    offBy(
      medianOf(before.lotAfter),
      last.map(record => medianOf(multiply(PRIOR, record.shown))),
      BATCH_LN_SD,
      1,
    ),
  )
  return {
    less: likeliest(
      less.map(found => found && { ...found, from: shareOfOdds(found.from), to: shareOfOdds(found.to) }),
      ({ from, to }) => to < from * (1 - LESS_BY),
    ),
    later: likeliest(
      later.map(found => found && { ...found, from: Math.exp(found.from), to: Math.exp(found.to) }),
      ({ from, to }) => to > from * (1 + LATER_BY),
    ),
  }
}

type Moments = ReturnType<typeof momentsOf>
const oddsOf = (weight: Float64Array): Moments => momentsOf(alongShare(weight), ODDS)
const medianOf = (weight: Float64Array): Moments => momentsOf(alongMedian(weight), LN_MEDIANS)

/** How far the mean of the last lies from before, where every one of them and all together lie far off on that side. */
function offBy(before: Moments, last: readonly Moments[], batchSd: number, side: -1 | 1): LotChange | null {
  const apart = (one: Moments) => side * (one.mean - before.mean)
  const variance = (one: Moments) => one.variance + batchSd * batchSd
  if (!last.every(one => apart(one) > EACH_OFF * Math.sqrt(before.variance + variance(one)))) return null
  const n = last.length
  const mean = last.reduce((sum, one) => sum + one.mean, 0) / n
  const sd = Math.sqrt(before.variance + last.reduce((sum, one) => sum + variance(one), 0) / (n * n))
  const z = (side * (mean - before.mean)) / sd
  return z > TOGETHER_OFF ? { from: before.mean, to: mean, batches: n, chance: normalShare(-z) } : null
}

/** Of all that matter, the one that chance explains least. */
function likeliest(
  changes: readonly (LotChange | null)[],
  matters: (change: LotChange) => boolean,
): LotChange | null {
  return changes
    .filter(change => change !== null)
    .filter(matters)
    .reduce<LotChange | null>((best, one) => (best === null || one.chance < best.chance ? one : best), null)
}
