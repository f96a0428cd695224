import { hatchingEfficiency, hatchingPercentage } from '../counts/hatching-quality.ts'
import { poissonInterval, scaled } from '../counts/interval.ts'
import { countedAt, wholeCountOf } from '../counts/whole-count.ts'
import { BATCH_ODDS_SD } from './batch-effect.ts'
import { DOSE_LN_SD } from './alone.ts'
import { controlChart, type ChartValue, type ControlChart } from './control-chart.ts'
import { type BatchEvidence, isTooSoon, type NaupliiCounted } from './evidence.ts'
import { CYSTS_PER_G } from './lot.ts'

/** What a lot's harvests are charted by. */
export const ChartOf = { hatchPercentage: 'hatch-percentage', naupliiPerG: 'nauplii-per-g' } as const
export type ChartOf = (typeof ChartOf)[keyof typeof ChartOf]

/** What one batch was counted at. */
export interface Harvest {
  readonly naupliiPerG: ChartValue
  /** Per cent of the full cysts; `null` where those that did not hatch were not counted. */
  readonly hatchPercentage: ChartValue | null
}

/** Of each batch the newest count at its harvest, else its newest one; oldest batch first. */
export function harvestsOf(history: readonly BatchEvidence[]): Harvest[] {
  return [...history].sort((a, b) => a.startedAtMs - b.startedAtMs).flatMap(batch => harvestOf(batch) ?? [])
}

function harvestOf(batch: BatchEvidence): Harvest | null {
  const { items, litres, cystsG } = batch
  const counts = items.filter(
    (item): item is NaupliiCounted => item.kind === 'count' && item.sampledMl > 0 && !isTooSoon(item, batch),
  )
  const count = counts.findLast(({ harvest }) => harvest) ?? counts.at(-1)
  if (!count || !(cystsG > 0)) return null
  // What a lot is worth is told by the stirred vessel; what was drawn off of it is less by what stayed behind.
  const whole = wholeCountOf(counts, count, countedAt)
  const told = whole ?? count
  const nauplii = scaled(poissonInterval(told.nauplii), (1000 * litres) / told.sampledMl)
  const share = whole && hatchingPercentage([sampleOf(whole)])
  return {
    naupliiPerG: valueOf(told.atMs, hatchingEfficiency(nauplii, cystsG)),
    hatchPercentage: whole && share ? valueOf(whole.atMs, share) : null,
  }
}

const sampleOf = ({ nauplii, umbrella, embryos, sampledMl }: NaupliiCounted) => ({
  sampleMl: sampledMl,
  nauplii,
  ...(umbrella === null ? {} : { umbrella }),
  ...(embryos === null ? {} : { embryos }),
})
const valueOf = (atMs: number, { low, best, high }: { low: number; best: number; high: number }) => ({
  atMs,
  value: best,
  low,
  high,
})

/** By which of the two a lot is judged: the share, wherever no harvest would be left out by it. */
export const judgedBy = (harvests: readonly Harvest[]): ChartOf =>
  harvests.every(({ hatchPercentage }) => hatchPercentage !== null)
    ? ChartOf.hatchPercentage
    : ChartOf.naupliiPerG

/** What sound batches of one lot differ by at the least: in the share by what the model takes, in nauplii by the dose as well. */
const LEAST_SD: Readonly<Record<ChartOf, (mean: number) => number>> = {
  [ChartOf.hatchPercentage]: mean => BATCH_ODDS_SD * mean * (1 - mean / 100),
  [ChartOf.naupliiPerG]: mean =>
    mean * Math.hypot(BATCH_ODDS_SD * Math.max(0, 1 - mean / CYSTS_PER_G), DOSE_LN_SD),
}

/** The chart of a lot's harvests; the same for the verdict and for the screen. */
export const lotChart = (of: ChartOf, values: readonly ChartValue[]): ControlChart =>
  controlChart(values, {
    leastSd: LEAST_SD[of],
    ...(of === ChartOf.hatchPercentage ? { greatest: 100 } : {}),
  })

/** The chart that a lot is judged by. */
export function judgingChart(history: readonly BatchEvidence[]): {
  readonly of: ChartOf
  readonly chart: ControlChart
} {
  const harvests = harvestsOf(history)
  const of = judgedBy(harvests)
  const values = harvests.flatMap(harvest =>
    of === ChartOf.hatchPercentage ? (harvest.hatchPercentage ?? []) : harvest.naupliiPerG,
  )
  return { of, chart: lotChart(of, values) }
}
