import { BATCH_LN_SD, ODD_BATCHES, SPOILT_BEFORE_BATCH } from './batch-effect.ts'
import { blurMedians, sharesOfBatches, sharesOfLots, sharesOfPlainBatches, stored } from './blur.ts'
import { CystsCounted } from './cysts-counted.ts'
import { type BatchEvidence, type LotObservation, MOST_BATCHES, usableItems } from './evidence.ts'
import { H, LN_MEDIANS, LN_STEP, M, multiply, PRIOR, PRIOR_OF_MEDIAN, S, withoutMedian } from './grid.ts'
import { batchLikelihood } from './likelihood.ts'

/** What one batch showed, against what was to be expected of it. */
export interface BatchRecord {
  readonly startedAtMs: number
  readonly counts: number
  readonly observations: number
  /** The lot as it was believed with this batch, on the grid. */
  readonly lotAfter: Float64Array
  /** How likely what was seen is for each cell that the batch itself may be. */
  readonly shown: Float64Array
  readonly batch: BatchEvidence
}

/** What is known of a lot, as of its newest batch. */
export interface Learned {
  /** Of the lot, on the grid; sums to 1. */
  readonly weight: Float64Array
  /** When that batch was started; `null` with none. */
  readonly asOfMs: number | null
  readonly cysts: CystsCounted
  /** Batches of which something was seen, oldest first. */
  readonly records: readonly BatchRecord[]
}

/**
 * Learns a lot from its batches, in the order of their start; only the newest {@link MOST_BATCHES} of which something was
 * seen count. Between them the lot walks with its storage time, and before each it may have been spoilt.
 */
export function learnLot(history: readonly BatchEvidence[]): Learned {
  const batches = history
    .map(batch => ({ batch, items: usableItems(batch) }))
    .filter(({ items }) => items.length > 0)
    .sort((a, b) => a.batch.startedAtMs - b.batch.startedAtMs)
    .slice(-MOST_BATCHES)
  let weight = PRIOR
  let asOfMs: number | null = null
  const cysts = new CystsCounted()
  const records: BatchRecord[] = []
  for (const { batch, items } of batches) {
    const likelihood = batchLikelihood(batch, items, LN_MEDIANS)
    if (likelihood === null) continue
    const before = lotBefore(weight, asOfMs, batch.startedAtMs)
    weight = multiply(before, likelihoodOfLot(likelihood, degHDoubt(items)))
    asOfMs = batch.startedAtMs
    cysts.take(batch, items)
    records.push({
      startedAtMs: batch.startedAtMs,
      counts: items.filter(item => item.kind === 'count').length,
      observations: items.length,
      lotAfter: weight,
      shown: likelihood,
      batch,
    })
  }
  return { weight, asOfMs, cysts, records }
}

/** The lot as it is believed at a later moment: walked with its storage, perhaps spoilt. */
export function lotBefore(weight: Float64Array, asOfMs: number | null, atMs: number): Float64Array {
  if (asOfMs === null) return weight
  const walked = stored(weight, atMs - asOfMs)
  const out = new Float64Array(walked.length)
  for (let row = 0; row < out.length; row += H) {
    let sum = 0
    for (let h = 0; h < H; h++) sum += walked[row + h] ?? 0
    const anyShare = (SPOILT_BEFORE_BATCH * sum) / H
    for (let h = 0; h < H; h++) out[row + h] = (1 - SPOILT_BEFORE_BATCH) * (walked[row + h] ?? 0) + anyShare
  }
  return out
}

/** What a batch of the lot is expected to be: medians apart by the batch effect, sometimes odd, shares by theirs. */
export function batchesOf(weight: Float64Array, extraLnSd: number): Float64Array {
  // A cell is as wide as its step when it is read off, which widens it by a twelfth of its square (Sheppard's correction).
  const variance = BATCH_LN_SD ** 2 + extraLnSd ** 2 - LN_STEP ** 2 / 12
  const plain = blurMedians(sharesOfBatches(weight), variance)
  return mixed(plain, withoutMedian(plain), PRIOR_OF_MEDIAN)
}

/** The part of what is expected of a batch that nothing befell. */
export function plainBatchesOf(weight: Float64Array): Float64Array {
  const variance = BATCH_LN_SD ** 2 - LN_STEP ** 2 / 12
  return blurMedians(sharesOfPlainBatches(weight), variance).map(one => (1 - ODD_BATCHES) * one)
}

/** The same the other way: how likely what was seen of a batch is for each lot that it may be of. */
function likelihoodOfLot(ofBatch: Float64Array, extraLnSd: number): Float64Array {
  const ofShares = sharesOfLots(ofBatch)
  const plain = blurMedians(ofShares, BATCH_LN_SD ** 2 + extraLnSd ** 2)
  return mixed(plain, withoutMedian(ofShares, PRIOR_OF_MEDIAN), ANY_MEDIAN)
}

const ANY_MEDIAN = new Float64Array(M).fill(1)

/** What a batch shows, mostly plainly, sometimes oddly: the odd part has its own weights of medians. In place. */
function mixed(plain: Float64Array, odd: Float64Array, ofMedian: Float64Array): Float64Array {
  const row = S * H
  for (let m = 0; m < M; m++) {
    const share = ODD_BATCHES * (ofMedian[m] ?? 0)
    for (let i = 0; i < row; i++) {
      const at = m * row + i
      plain[at] = (1 - ODD_BATCHES) * (plain[at] ?? 0) + share * (odd[i] ?? 0)
    }
  }
  return plain
}

/** A batch whose development is less sure than this tells as good as nothing of its lot's pace, ln scale. */
const MOST_DOUBT = 0.3

/** How unsure the batch's development was when it was seen, ln scale: as good as another requirement. */
export function degHDoubt(items: readonly LotObservation[]): number {
  const doubt = items.reduce((most, item) => Math.max(most, item.degHSd / Math.max(item.degH, 1)), 0)
  return Math.min(doubt, MOST_DOUBT)
}
