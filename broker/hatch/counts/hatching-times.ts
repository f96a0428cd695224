import { CountError, moreThanNone, wholeNumber } from './errors.ts'
import type { Interval } from './interval.ts'
import { binomialInterval, CONFIDENCE, confidenceOf } from './interval.ts'
import { COUNTED_AT_MOST } from './samples.ts'

/** What was counted at one time, all samples of that time together. */
export interface CountAtTime {
  /** Hours since the cysts went into the water. */
  readonly atH: number
  readonly nauplii: number
  /** Millilitres of the vessel's water in which they were counted. */
  readonly ml: number
}

/** Hours since the cysts went into the water; `synchrony` is T90 - T10, hours. */
export interface HatchingTimes {
  readonly t10: Interval
  readonly t90: Interval
  readonly synchrony: Interval
}

export const TIMES_AT_MOST = 200
const VERB = 'tell hatching times'

/**
 * Share of the last count at the last but one, from which on the hatch is taken to have levelled off (own choice: of two equal counts of
 * 80 the last is that much more one time in eleven, by chance).
 */
const LEVELLED = 0.8

/**
 * T10, T90 and synchrony from counts at several times: when 10 and 90 % of the final number were out. The final number is what the last
 * counts level off at.
 *
 * Best: the shares that are likeliest among those that never fall (isotonic regression by pooling adjacent violators, weighed by
 * water), and straight lines between the times.
 *
 * Limits: only that the share never falls is used, no shape. Each count against the last one is a share of two Poisson counts, so its
 * limits are exact (Clopper & Pearson given the sum of the two); all of them hold at once at the confidence asked for
 * (Bonferroni). T10 lies after every time at which 10 % is out of reach, and not after the first at which it must have been passed. They
 * are never closer than the counts are in time, and hold for mixed samples.
 *
 * @param counts at least 3, rising in time
 * @throws CountError when the series does not bracket the hatch: when more than 10 % are out at the first count, or fewer than 80 % at
 *   the last but one; or for numbers that are not possible
 */
export function hatchingTimes(counts: readonly CountAtTime[], confidence = CONFIDENCE): HatchingTimes {
  checkCounts(counts)
  const shares = neverFalling(counts)
  const first = shares[0] ?? 0
  const levelled = shares.at(-2) ?? 0
  if (first > 0.1) {
    throw new CountError(VERB, 'the first count', 'before 10 % are out', `${Math.round(100 * first)} %`)
  }
  if (levelled < LEVELLED) {
    const got = `${Math.round(100 * levelled)} % of the last`
    throw new CountError(VERB, 'the last count but one', 'at the final number', got)
  }
  const limits = shareLimits(counts, confidenceOf(confidence))
  const t10 = { best: crossing(counts, shares, 0.1), ...timeLimits(counts, limits, 0.1) }
  const t90 = { best: crossing(counts, shares, 0.9), ...timeLimits(counts, limits, 0.9) }
  const synchrony = {
    low: Math.max(t90.low - t10.high, 0),
    best: t90.best - t10.best,
    high: t90.high - t10.low,
  }
  return { t10, t90, synchrony }
}

/** Shares of the final number, the likeliest that never fall. */
function neverFalling(counts: readonly CountAtTime[]): number[] {
  const blocks: { nauplii: number; ml: number; times: number }[] = []
  for (const { nauplii, ml } of counts) {
    let block = { nauplii, ml, times: 1 }
    for (
      let last = blocks.at(-1);
      last && last.nauplii / last.ml > block.nauplii / block.ml;
      last = blocks.at(-1)
    ) {
      blocks.pop()
      block = {
        nauplii: last.nauplii + block.nauplii,
        ml: last.ml + block.ml,
        times: last.times + block.times,
      }
    }
    blocks.push(block)
  }
  const final = blocks.at(-1)
  if (!final || final.nauplii === 0) throw new CountError(VERB, 'nauplii', 'more than 0 at the last count', 0)
  return blocks.flatMap(({ nauplii, ml, times }) =>
    Array.from({ length: times }, () => ((nauplii / ml) * final.ml) / final.nauplii),
  )
}

/** When the share first comes to a level. */
function crossing(counts: readonly CountAtTime[], shares: readonly number[], level: number): number {
  const at = shares.findIndex(share => share >= level)
  const reached = counts[at]?.atH ?? 0
  const share = shares[at] ?? 1
  const before = counts[at - 1]
  const shareBefore = shares[at - 1]
  if (before === undefined || shareBefore === undefined) return reached
  return before.atH + ((reached - before.atH) * (level - shareBefore)) / (share - shareBefore)
}

interface ShareLimits {
  readonly least: number
  readonly most: number
}

function shareLimits(counts: readonly CountAtTime[], confidence: number): readonly ShareLimits[] {
  const final = counts.at(-1)
  if (!final) return []
  const earlier = counts.slice(0, -1)
  const each = 1 - (1 - confidence) / earlier.length
  const limits = earlier.map(({ nauplii, ml }) => {
    const { low, high } = binomialInterval(nauplii, nauplii + final.nauplii, each)
    const asShare = (part: number) => ((part / (1 - part)) * final.ml) / ml
    return { least: asShare(low), most: Math.min(asShare(high), 1) }
  })
  return [...limits, { least: 1, most: 1 }]
}

/** Between which times a level was passed. Before the first count it may have been at any time since the start. */
function timeLimits(counts: readonly CountAtTime[], limits: readonly ShareLimits[], level: number) {
  const notYet = limits.findLastIndex(({ most }) => most < level)
  const surely = limits.findIndex(({ least }) => least >= level)
  const low = counts[notYet]?.atH ?? 0
  return { low, high: Math.max(counts[surely]?.atH ?? Infinity, low) }
}

function checkCounts(counts: readonly CountAtTime[]): void {
  if (counts.length < 3 || counts.length > TIMES_AT_MOST) {
    throw new CountError(VERB, 'counts', `3 to ${TIMES_AT_MOST}`, counts.length)
  }
  counts.forEach(({ atH, nauplii, ml }, at) => {
    const earliest = counts[at - 1]?.atH ?? -Infinity
    if (!(atH >= 0 && atH > earliest && atH < Infinity)) {
      throw new CountError(VERB, `counts.${at}.atH`, '0 or more, and later than the one before', atH)
    }
    wholeNumber(VERB, `counts.${at}.nauplii`, COUNTED_AT_MOST * 100, nauplii)
    moreThanNone(VERB, `counts.${at}.ml`, Infinity, ml)
  })
}
