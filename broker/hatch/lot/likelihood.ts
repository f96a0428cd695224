import { countTerms, lnLikelihoodOf, mostOf, type ReadyCount, readyCount, slipChance } from './counted.ts'
import type { BatchEvidence, LotObservation } from './evidence.ts'
import { firstSwimmersLikelihood } from './first-swimmers.ts'
import { H, LN_MEDIANS, LN_SHARES, S, SHARES, SIGMAS } from './grid.ts'

/** Cells so much less likely than the best, on the ln scale, count for nothing. */
const FORGET_BELOW = -12

/**
 * How likely what was seen of a batch is, for each median, spread and hatching share of *this batch*; the best cell is 1.
 * `null` where it says nothing.
 */
export function batchLikelihood(
  batch: BatchEvidence,
  items: readonly LotObservation[],
  lnMedians: readonly number[],
): Float64Array | null {
  if (items.length === 0) return null
  const rows = new Float64Array(lnMedians.length * S)
  for (const item of items) {
    if (item.kind !== 'first-swimmers') continue
    const seen = firstSwimmersLikelihood(item, batch, lnMedians, SIGMAS)
    for (let at = 0; at < rows.length; at++) rows[at] = (rows[at] ?? 0) + Math.log((seen[at] ?? 0) + 1e-12)
  }
  const counts = items.filter(item => item.kind === 'count').map(item => readyCount(item, batch))
  return counts.length > 0 ? withCounts(rows, counts, lnMedians) : alike(rows)
}

/** Nothing was said about the share that hatches: every share alike. */
function alike(rows: Float64Array): Float64Array {
  const best = rows.reduce((a, b) => Math.max(a, b), -Infinity)
  const cells = new Float64Array(rows.length * H)
  for (let row = 0; row < rows.length; row++) {
    const ln = (rows[row] ?? 0) - best
    if (ln > FORGET_BELOW) cells.fill(Math.exp(ln), row * H, (row + 1) * H)
  }
  return cells
}

function withCounts(
  rows: Float64Array,
  counts: readonly ReadyCount[],
  lnMedians: readonly number[],
): Float64Array {
  // What a row can reach at most, whatever the share.
  const terms = lnMedians.flatMap(lnMedian => SIGMAS.map(sigma => countTerms(counts, lnMedian, sigma)))
  const most = rows.map((known, row) => known + (terms[row] ? mostOf(terms[row]) : 0))
  const cells = new Float64Array(rows.length * H)
  const reckoned: number[] = []
  let best = -Infinity
  const reckon = (row: number) => {
    const ofRow = terms[row]
    if (ofRow === undefined) return
    const known = rows[row] ?? 0
    for (let h = 0; h < H; h++) {
      const ln = known + lnLikelihoodOf(ofRow, SHARES[h] ?? 0, LN_SHARES[h] ?? 0)
      cells[row * H + h] = ln
      if (ln > best) best = ln
    }
    reckoned.push(row)
  }
  // The most promising first, so that hopeless ones need not be looked at.
  const first = most.indexOf(most.reduce((a, b) => Math.max(a, b), -Infinity))
  reckon(first)
  for (let row = 0; row < rows.length; row++) {
    if (row !== first && (most[row] ?? 0) > best + FORGET_BELOW) reckon(row)
  }
  for (const row of reckoned) {
    for (let at = row * H; at < (row + 1) * H; at++) {
      const ln = (cells[at] ?? -Infinity) - best
      cells[at] = ln > FORGET_BELOW ? Math.exp(ln) : 0
    }
  }
  return cells
}

/**
 * How likely it is that what was counted of a batch came about plainly: a batch like the lot's others, and no slip in its volumes. Of two
 * beliefs of the batch before it was seen, weights on the grid: all that it may be, and the part of it that nothing befell.
 */
export function plainChance(
  batch: BatchEvidence,
  items: readonly LotObservation[],
  all: Float64Array,
  plain: Float64Array,
): number {
  const counts = items.filter(item => item.kind === 'count').map(item => readyCount(item, batch))
  const shown = batchLikelihood(batch, items, LN_MEDIANS)
  if (shown === null) return 1
  let total = 0
  let plainly = 0
  for (let row = 0; row < LN_MEDIANS.length * S; row++) {
    const terms = countTerms(counts, LN_MEDIANS[Math.floor(row / S)] ?? 0, SIGMAS[row % S] ?? 0)
    for (let h = 0; h < H; h++) {
      const at = row * H + h
      const likely = shown[at] ?? 0
      if (likely === 0) continue
      total += (all[at] ?? 0) * likely
      plainly += (plain[at] ?? 0) * likely * (1 - slipChance(terms, SHARES[h] ?? 0))
    }
  }
  return total > 0 ? plainly / total : 0
}
