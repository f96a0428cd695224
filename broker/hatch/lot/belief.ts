import type { Band, LotBelief, LotCase } from '../contract.ts'
import { spreadOf } from '../population/population.ts'
import { LOT_CASES } from './cases.ts'
import { type BatchEvidence, type LotObservation, usableItems } from './evidence.ts'
import {
  alongShare,
  H,
  LN_MEDIANS,
  LN_STEP,
  M,
  multiply,
  ODDS,
  ODDS_STEP,
  S,
  SIGMA_LN_STEP,
  SIGMAS,
  steps,
} from './grid.ts'
import { batchesOf, degHDoubt, type Learned, learnLot, lotBefore } from './learn.ts'
import { batchLikelihood } from './likelihood.ts'
import { shareOfOdds } from './odds.ts'

/** A batch under way is narrowed down on medians that lie so much closer. */
const FINER = 4
const FINE_STEP = LN_STEP / FINER
const FINE_MEDIANS = steps(LN_MEDIANS[0] ?? 0, FINE_STEP, (M - 1) * FINER + 1)
/** Spreads the cases evenly over what goes along with the median; the golden ratio leaves no pattern. */
const GOLDEN = (Math.sqrt(5) - 1) / 2

/**
 * What is believed of a batch: from the evidence of the lot's earlier batches, in any order, and from what was seen of the
 * batch itself. `current` is the batch with its items so far, or `null` for one that would be started at `atMs`. Batches that
 * were started after it, and itself, do not belong into `history`.
 *
 * It changes only with the evidence: keep it while a batch is forecast again and again.
 */
export function lotBelief(
  history: readonly BatchEvidence[],
  current: BatchEvidence | null,
  atMs: number,
): LotBelief {
  const learned = learnLot(history)
  const nothing = learned.records.length === 0 && (current === null || usableItems(current).length === 0)
  // Every lot never seen is believed the same, so what a forecast keeps beside the belief serves all of them.
  if (nothing) return (unseenBelief ??= beliefFrom(learned, null, atMs))
  return beliefFrom(learned, current, atMs)
}

let unseenBelief: LotBelief | null = null

/** The same from a lot that was learned already. */
export function beliefFrom(learned: Learned, current: BatchEvidence | null, atMs: number): LotBelief {
  const lot = lotBefore(learned.weight, learned.asOfMs, current?.startedAtMs ?? atMs)
  const items = current === null ? [] : usableItems(current)
  const expected = batchesOf(lot, degHDoubt(items))
  const likelihood = current === null ? null : batchLikelihood(current, items, FINE_MEDIANS)
  const belief =
    likelihood === null
      ? summed(expected, LN_MEDIANS, LN_STEP)
      : summed(multiply(refined(expected), likelihood), FINE_MEDIANS, FINE_STEP)
  return { ...belief, cystsPerG: learned.cysts.band, heldDegHSd: heldBy(items) }
}

/** The doubt of the newest observation is part of what was seen. */
function heldBy(items: readonly LotObservation[]): number {
  return items.reduce((held, item) => Math.max(held, item.degHSd), 0)
}

/** Weights on the finer medians: in a straight line on the ln scale, as bells are smoother there. */
function refined(weight: Float64Array): Float64Array {
  const row = S * H
  const fine = new Float64Array(FINE_MEDIANS.length * row)
  const ln = weight.map(one => Math.log(one + 1e-300))
  for (let m = 0; m < FINE_MEDIANS.length; m++) {
    const below = Math.floor(m / FINER)
    const share = (m % FINER) / FINER
    const above = share === 0 ? below : below + 1
    for (let i = 0; i < row; i++) {
      const low = ln[below * row + i] ?? -690
      const high = ln[above * row + i] ?? -690
      fine[m * row + i] = Math.exp(low + (high - low) * share)
    }
  }
  return fine
}

function summed(weight: Float64Array, lnMedians: readonly number[], step: number): LotBelief {
  const byMedian = lnMedians.map((_, m) => rowSums(weight, m))
  const medians = byMedian.map(spreads => spreads.reduce((a, b) => a + b, 0))
  const at = (share: number) => placeAt(medians, share)
  const lnAt = (share: number) => (lnMedians[0] ?? 0) + at(share) * step
  const cases = Array.from({ length: LOT_CASES }, (_, k): LotCase => {
    const place = at((k + 0.5) / LOT_CASES)
    const spreads = byMedian[Math.min(Math.max(Math.round(place), 0), lnMedians.length - 1)] ?? []
    const aside = ((k + 0.5) * GOLDEN) % 1
    const lnSigma = Math.log(SIGMAS[0] ?? 0) + placeAt(spreads, aside) * SIGMA_LN_STEP
    return {
      medianDegH: Math.exp((lnMedians[0] ?? 0) + place * step),
      spread: spreadOf(Math.exp(lnSigma)),
    }
  })
  const middle = lnAt(0.5)
  const hatch = shareBand(alongShare(weight))
  return {
    medianDegH: Math.exp(middle),
    lnLow: lnAt(0.1) - middle,
    lnHigh: lnAt(0.9) - middle,
    spread: cases.reduce((sum, { spread }) => sum + spread, 0) / cases.length,
    hatchShare: hatch.p50,
    hatch,
    cases,
  }
}

function rowSums(weight: Float64Array, m: number): number[] {
  return Array.from({ length: S }, (_, s) => {
    let sum = 0
    const from = (m * S + s) * H
    for (let at = from; at < from + H; at++) sum += weight[at] ?? 0
    return sum
  })
}

/** The share of the cysts that hatch, with its band, from weights over the grid's shares. */
export function shareBand(weight: Float64Array): Band {
  const at = (share: number) => shareOfOdds((ODDS[0] ?? 0) + placeAt(weight, share) * ODDS_STEP)
  return { p10: at(0.1), p50: at(0.5), p90: at(0.9) }
}

/** Where a share of the weights is passed, counted in cells from the middle of the first; each cell holds its weight evenly. */
export function placeAt(weights: readonly number[] | Float64Array, share: number): number {
  let total = 0
  for (const one of weights) total += one
  let left = share * total
  for (let at = 0; at < weights.length; at++) {
    const one = weights[at] ?? 0
    if (left <= one && one > 0) return at - 0.5 + left / one
    left -= one
  }
  return weights.length - 0.5
}
