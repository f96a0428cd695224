import {
  BATCH_ODDS_SD,
  DUD_BATCHES,
  LONGEST_STORED_MONTHS,
  MONTH_MS,
  STORED_LN_SD,
  STORED_ODDS_SD,
  UNLUCKY_BATCHES,
  UNLUCKY_ODDS,
  UNLUCKY_ODDS_SD,
} from './batch-effect.ts'
import { bell, H, LN_STEP, M, ODDS, ODDS_STEP, S } from './grid.ts'

/** Weights spread over the medians by a variance on the ln scale. What leaves the grid stays at its edge. */
export function blurMedians(weight: Float64Array, variance: number): Float64Array {
  return walk(weight, S * H, variance / (LN_STEP * LN_STEP))
}

/** How likely a batch of a lot with one hatching share has another, as rows of the lot's share. */
const PLAIN_SHARE: readonly Float64Array[] = ODDS.map(lot =>
  rowOf(odds => bell((odds - lot) / BATCH_ODDS_SD)).map(one => (1 - UNLUCKY_BATCHES - DUD_BATCHES) * one),
)
const BATCH_SHARE: readonly Float64Array[] = ODDS.map((lot, of) => {
  const unlucky = rowOf(odds => bell((odds - lot - UNLUCKY_ODDS) / UNLUCKY_ODDS_SD))
  return unlucky.map((one, at) => (PLAIN_SHARE[of]?.[at] ?? 0) + UNLUCKY_BATCHES * one + DUD_BATCHES / H)
})

function rowOf(likelihood: (odds: number) => number): Float64Array {
  const row = Float64Array.from(ODDS, likelihood)
  const sum = row.reduce((a, b) => a + b, 0)
  return row.map(one => one / sum)
}

/** From what lots are to what their batches are. */
export function sharesOfBatches(weight: Float64Array): Float64Array {
  return alongShares(weight, FROM_LOT)
}

/** The part of them that are neither unlucky nor duds. */
export function sharesOfPlainBatches(weight: Float64Array): Float64Array {
  return alongShares(weight, FROM_LOT_PLAIN)
}

/** From how likely something is of a batch to how likely it is of the lot. */
export function sharesOfLots(likelihood: Float64Array): Float64Array {
  return alongShares(likelihood, FROM_BATCH)
}

const FROM_LOT_PLAIN = Float64Array.from(
  { length: H * H },
  (_, at) => PLAIN_SHARE[Math.floor(at / H)]?.[at % H] ?? 0,
)
const FROM_LOT = Float64Array.from({ length: H * H }, (_, at) => batchShare(Math.floor(at / H), at % H))
const FROM_BATCH = Float64Array.from({ length: H * H }, (_, at) => batchShare(at % H, Math.floor(at / H)))

function batchShare(lot: number, batch: number): number {
  return BATCH_SHARE[lot]?.[batch] ?? 0
}

function alongShares(weight: Float64Array, factors: Float64Array): Float64Array {
  const out = new Float64Array(weight.length)
  for (let row = 0; row < weight.length; row += H) {
    for (let from = 0; from < H; from++) {
      const one = weight[row + from] ?? 0
      if (one === 0) continue
      for (let to = 0; to < H; to++)
        out[row + to] = (out[row + to] ?? 0) + one * (factors[from * H + to] ?? 0)
    }
  }
  return out
}

/** What storage does to the knowledge of a lot: it walks at random in both. */
export function stored(weight: Float64Array, forMs: number): Float64Array {
  const months = Math.min(Math.max(forMs, 0) / MONTH_MS, LONGEST_STORED_MONTHS)
  const walked = walk(weight, S * H, (STORED_LN_SD / LN_STEP) ** 2 * months)
  return walk(walked, 1, (STORED_ODDS_SD / ODDS_STEP) ** 2 * months)
}

/** A random walk of a variance in steps² along the axis whose neighbours lie `stride` apart; exact in its variance. */
function walk(weight: Float64Array, stride: number, variance: number): Float64Array {
  if (!(variance > 1e-6)) return weight
  const span = stride * (stride === 1 ? H : M)
  const rounds = Math.ceil(variance / 0.4)
  const aside = variance / rounds / 2
  let from = weight
  for (let round = 0; round < rounds; round++) {
    const to = new Float64Array(from.length)
    for (let at = 0; at < from.length; at++) to[at] = (1 - 2 * aside) * (from[at] ?? 0)
    for (let block = 0; block < from.length; block += span) {
      // At the ends what would leave stays.
      for (let at = block; at < block + stride; at++) {
        to[at] = (to[at] ?? 0) + aside * (from[at] ?? 0)
        const last = at + span - stride
        to[last] = (to[last] ?? 0) + aside * (from[last] ?? 0)
      }
      for (let at = block + stride; at < block + span; at++) {
        const below = at - stride
        to[at] = (to[at] ?? 0) + aside * (from[below] ?? 0)
        to[below] = (to[below] ?? 0) + aside * (from[at] ?? 0)
      }
    }
    from = to
  }
  return from
}
