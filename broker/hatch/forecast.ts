import type { Band, Forecast, ForecastInput, HarvestGoal, LotBelief } from './contract.ts'
import type { DevelopmentTrace } from './development/development.ts'
import { degHoursAt, timeOfDegHours } from './development/development.ts'
import type { ExpectedWater } from './thermal/expected-water.ts'
import { harvestWindow } from './population/harvest-window.ts'
import { lotMedianAt } from './lot/lot.ts'
import { normalQuantile, Z90 } from './normal.ts'
import type { Outlook } from './development/outlook.ts'
import { lookAhead, reachedAt, timeReached } from './development/outlook.ts'
import { hatchedShare, requirementOf } from './population/population.ts'
import { stageAt } from './stage.ts'
import { HOUR_MS } from './units.ts'

/** How far a forecast looks ahead, ms. Embryos that are not hatched by then will not be by this water. */
export const HORIZON_MS = 240 * HOUR_MS

// The two doubts, the lot's and the water's, are each cut into equally likely cases, and every pair is one way it may go.
const LOT_CASES = equallyLikely(31)
const WATER_CASES = equallyLikely(9)

/**
 * When a batch hatches and when to harvest it. What has been reached already is read off the trace; the rest is reckoned with
 * the expected water. Each band is over all pairs of what the lot may be and what the water may do.
 */
export function forecast(input: ForecastInput): Forecast {
  const { trace, expected, lot, goal, nowMs } = input
  const knownUntilMs =
    trace.lastC === null ? trace.startedAtMs : Math.min(trace.lastAtMs, Math.max(nowMs, trace.startedAtMs))
  const known = degHoursAt(trace, knownUntilMs)
  const horizonMs = Math.max(nowMs, knownUntilMs) + HORIZON_MS

  const needs = casesOf(lot, goal)
  const most = Math.max(...needs.map(need => need.untilDegH))
  const outlooks = WATER_CASES.map(z => lookAhead(expected, z, knownUntilMs, horizonMs, most - known))
  const ahead: Ahead = { trace, known, outlooks, horizonMs }

  const t10 = bandOf(needs.flatMap(need => timesOf(ahead, need.t10DegH)))
  const t90 = bandOf(needs.flatMap(need => timesOf(ahead, need.t90DegH)))
  const best = bandOf(needs.flatMap(need => timesOf(ahead, need.bestDegH)))
  const harvest = {
    fromMs: bandOf(needs.flatMap(need => timesOf(ahead, need.fromDegH))).p50,
    bestMs: best.p50,
    untilMs: bandOf(needs.flatMap(need => timesOf(ahead, need.untilDegH))).p50,
    best,
  }
  const reached = outlooks.map(outlook => known + reachedAt(outlook, nowMs))
  const hatchedNow = bandOf(needs.flatMap(need => reached.map(degH => hatchedShare(need, degH))))
  return {
    atMs: nowMs,
    t10,
    t90,
    harvest,
    hatchedNow,
    stage: stageAt(nowMs, input.startedAtMs, { t10, harvest }),
    progress: (reached[WATER_CASES.length >> 1] ?? known) / lot.medianDegH,
    expectedWater: waterUntil(expected, nowMs, Math.min(t90.p50, horizonMs)),
    reachesHatch: t90.p50 < horizonMs,
  }
}

/** What one case of the lot needs, °C·h. */
interface Needs {
  readonly medianDegH: number
  readonly spread: number
  readonly t10DegH: number
  readonly t90DegH: number
  readonly fromDegH: number
  readonly bestDegH: number
  readonly untilDegH: number
}

// A belief does not change while a batch is forecast again and again, so what its cases need is kept beside it.
const casesKept = new WeakMap<LotBelief, Map<HarvestGoal, readonly Needs[]>>()

function casesOf(lot: LotBelief, goal: HarvestGoal): readonly Needs[] {
  const kept = casesKept.get(lot) ?? new Map<HarvestGoal, readonly Needs[]>()
  casesKept.set(lot, kept)
  const needs = kept.get(goal) ?? LOT_CASES.map(z => needsOf(lot, z, goal))
  kept.set(goal, needs)
  return needs
}

function needsOf(lot: LotBelief, z: number, goal: HarvestGoal): Needs {
  const population = { medianDegH: lotMedianAt(lot, z), spread: lot.spread }
  return {
    ...population,
    ...harvestWindow(population, goal),
    t10DegH: requirementOf(population, 0.1),
    t90DegH: requirementOf(population, 0.9),
  }
}

interface Ahead {
  readonly trace: DevelopmentTrace
  readonly known: number
  readonly outlooks: readonly Outlook[]
  readonly horizonMs: number
}

/** When a development is reached in each case of the water, none later than the horizon. */
function timesOf({ trace, known, outlooks, horizonMs }: Ahead, degH: number): number[] {
  const past = degH <= known ? timeOfDegHours(trace, degH) : null
  return outlooks.map(outlook => Math.min(past ?? timeReached(outlook, degH - known), horizonMs))
}

/** The level over the way that is left, as the mean of a few moments on it, °C. */
function waterUntil(expected: ExpectedWater, nowMs: number, untilMs: number): Band {
  const moments = 8
  const wayMs = Math.max(untilMs - nowMs, 0)
  let levelC = 0
  let spreadC = 0
  for (let at = 0; at < moments; at++) {
    const water = expected.at(nowMs + (wayMs * (at + 0.5)) / moments)
    levelC += water.levelC / moments
    spreadC += water.spreadC / moments
  }
  return { p10: levelC - Z90 * spreadC, p50: levelC, p90: levelC + Z90 * spreadC }
}

/** Middles of equally likely parts of a standard normal distribution. */
function equallyLikely(parts: number): number[] {
  return Array.from({ length: parts }, (_, at) => normalQuantile((at + 0.5) / parts))
}

/** The 10th, 50th and 90th percentile of equally likely values, by interpolation between their middles. */
function bandOf(values: readonly number[]): Band {
  const sorted = Float64Array.from(values).sort()
  const at = (share: number) => {
    const place = Math.min(Math.max(share * sorted.length - 0.5, 0), sorted.length - 1)
    const below = sorted[Math.floor(place)] ?? 0
    const above = sorted[Math.ceil(place)] ?? below
    return below + (above - below) * (place - Math.floor(place))
  }
  return { p10: at(0.1), p50: at(0.5), p90: at(0.9) }
}
