import { bell } from '../hatch/lot/grid.ts'
import type { CauseKind, DiagnosisInput } from './contract.ts'
import { drawsFor } from './model/draws.ts'
import type { Kept } from './model/kept.ts'
import { type Course, play } from './model/run.ts'
import { climateOf, setUpShare } from './model/situation.ts'
import {
  type Believed,
  HATCH_SHARES,
  hatchPrior,
  lnLikelihoods,
  resampled,
  type Seen,
} from './model/weigh.ts'
import { CELL_H, cellOf } from './record/grid.ts'
import type { BatchRecord } from './record/record.ts'

/** Ways that are looked at, and so many equally likely ones that go on. */
const DRAWS = 512
const WAYS = 48

/**
 * Whoever draws a batch off has looked at it first, so most are drawn off near their best: five in six with a standard deviation of 2 h, the
 * others of 9 h. Own choice: it keeps a lot of which little is known from being called late for every harvest.
 */
const MEANT = [
  { share: 5 / 6, sdH: 2 },
  { share: 1 / 6, sdH: 9 },
] as const

function lnMeant(afterBestH: number): number {
  return Math.log(MEANT.reduce((sum, { share, sdH }) => sum + (share / sdH) * bell(afterBestH / sdH), 0))
}

/** Everything that the batch may be, weighed by what was seen of it with all suspects at work. */
export interface Belief {
  readonly ways: readonly Believed[]
  /** The same before anything was counted: shares that hatch as the lot was known, all else as weighed. */
  readonly uncounted: readonly Believed[]
  /** How likely each of {@link HATCH_SHARES} is. */
  readonly shares: readonly number[]
  /** How it went, for each of the ways. */
  readonly courses: readonly Course[]
  readonly uncountedCourses: readonly Course[]
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
): Belief {
  const seen = seenOf(input)
  const prior = hatchPrior(input.lot.belief)
  const middle = prior.reduce((sum, one, at) => sum + one * (HATCH_SHARES[at] ?? 0), 0)
  // As it was: with all that is suspected.
  const situation = kept.with(new Set(causes))
  const climate = climateOf(situation)
  const looks = seen.counts.map(count => cellOf(record.grid, count.atMs))
  const draws = drawsFor(input.lot.belief, DRAWS)
  const { goal } = input.batch
  const ln = draws.map(draw => {
    const course = play(situation, climate, draw, goal, middle)
    const first = seen.firstSwimmersAtMs
    const atFirst = first === null ? null : course.degHAt(cellOf(record.grid, first))
    const shares = looks.map(cell => course.sharesAt(cell))
    const likely = lnLikelihoods(seen, draw, setUpShare(situation, draw), shares, atFirst)
    const meant = record.harvestMs === null ? 0 : lnMeant((record.harvestCell - course.bestCell) * CELL_H)
    return likely.map(one => one + meant)
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
  const uncounted = resampled(draws, byPace, WAYS)
  const coursesOf = (of: readonly Believed[]) =>
    of.map(({ draw, hatchShare }) => play(situation, climate, draw, goal, hatchShare))
  return {
    ways,
    uncounted,
    shares: shares.map(one => one / total),
    courses: coursesOf(ways),
    uncountedCourses: coursesOf(uncounted),
  }
}
