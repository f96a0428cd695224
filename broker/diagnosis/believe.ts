import type { CauseKind } from './contract.ts'
import { type DiagnosisInput } from './contract.ts'
import { drawsFor } from './model/draws.ts'
import type { Kept } from './model/kept.ts'
import { type Outcome, play } from './model/run.ts'
import { climateOf, setUpShare } from './model/situation.ts'
import {
  type Believed,
  HATCH_SHARES,
  hatchPrior,
  lnLikelihoods,
  resampled,
  type Seen,
} from './model/weigh.ts'
import { cellOf } from './record/grid.ts'
import type { BatchRecord } from './record/record.ts'

/** Ways that are looked at, and so many equally likely ones that go on. */
const DRAWS = 512
const WAYS = 48

/** Everything that the batch may be, weighed by what was seen of it with all suspects at work. */
export interface Belief {
  readonly ways: readonly Believed[]
  /** The same before anything was counted: shares that hatch as the lot was known, all else as weighed. */
  readonly uncounted: readonly Believed[]
  /** How likely each of {@link HATCH_SHARES} is. */
  readonly shares: readonly number[]
  /** How it went, for each of the ways. */
  readonly outcomes: readonly Outcome[]
}

/** What was counted and seen, as the likelihood takes it. */
export function seenOf({ batch, written }: DiagnosisInput): Seen {
  const counts = (written.counts ?? []).map(count => ({
    ...count,
    kind: 'count' as const,
    degH: 0,
    degHSd: 0,
  }))
  return {
    evidence: { startedAtMs: batch.startedAtMs, litres: batch.litres, cystsG: batch.cystsG, items: [] },
    counts: counts.filter(
      count => count.nauplii + (count.umbrella ?? 0) + (count.embryos ?? 0) > 0 || count.sampledMl > 0,
    ),
    firstSwimmersAtMs: written.firstSwimmersAtMs ?? null,
  }
}

export function believe(
  input: DiagnosisInput,
  record: BatchRecord,
  kept: Kept,
  causes: readonly CauseKind[],
  lookCells: readonly number[],
): Belief {
  const seen = seenOf(input)
  const prior = hatchPrior(input.lot.belief)
  const middle = prior.reduce((sum, one, at) => sum + one * (HATCH_SHARES[at] ?? 0), 0)
  // As it was: with all that is suspected, and drawn off when it was.
  const situation = {
    ...kept.with(new Set(causes)),
    harvestCell: record.harvestMs === null ? null : record.harvestCell,
  }
  const climate = climateOf(situation)
  const looks = seen.counts.map(count => cellOf(record.grid, count.atMs))
  if (seen.firstSwimmersAtMs !== null) looks.push(cellOf(record.grid, seen.firstSwimmersAtMs))
  const draws = drawsFor(input.lot.belief, DRAWS)
  const { goal } = input.batch
  const ln = draws.map(draw => {
    const { looks: shares, degH } = play(situation, climate, draw, goal, looks, middle)
    const atFirst = seen.firstSwimmersAtMs === null ? null : (degH[seen.counts.length] ?? null)
    return lnLikelihoods(seen, draw, setUpShare(situation, draw), shares, atFirst)
  })
  const best = ln.reduce((most, row) => row.reduce((a, b) => Math.max(a, b), most), -Infinity)
  const weights = ln.map(row => row.map((one, at) => (prior[at] ?? 0) * Math.exp(one - best)))
  const ways = resampled(draws, weights, WAYS)
  const shares = HATCH_SHARES.map((_, at) => weights.reduce((sum, row) => sum + (row[at] ?? 0), 0))
  const total = shares.reduce((a, b) => a + b, 0)
  // The counts' say about the pace is kept, their say about the share is not.
  const byPace = weights.map(row => {
    const sum = row.reduce((a, b) => a + b, 0)
    return Float64Array.from(prior, one => sum * one)
  })
  return {
    ways,
    uncounted: resampled(draws, byPace, WAYS),
    shares: shares.map(one => one / total),
    outcomes: ways.map(({ draw, hatchShare }) => play(situation, climate, draw, goal, lookCells, hatchShare)),
  }
}
