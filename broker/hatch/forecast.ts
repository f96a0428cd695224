import { bandOf, distinct } from './band.ts'
import type { Band, Forecast, ForecastInput } from './contract.ts'
import { developedBy, MIDDLE_WAY, timesOf, type Way, waysAhead } from './development/ways.ts'
import type { ExpectedWater } from './thermal/expected-water.ts'
import { type Needs, needsOf } from './lot/cases.ts'
import { hatchBand, naupliiPerGBand } from './lot/lot.ts'
import { Z90 } from './normal.ts'
import { stageShares } from './population/stages.ts'
import { stageAt } from './stage.ts'

export { HORIZON_MS } from './development/ways.ts'

/**
 * When a batch hatches and when to harvest it. What has been reached already is read off the trace; the rest is reckoned with
 * the expected water. Each band is over all pairs of what the lot may be and what the water may do. A probe's own error
 * runs through past and future alike and so is as good as another requirement: it is part of what batches of a lot differ by.
 */
export function forecast(input: ForecastInput): Forecast {
  const { expected, lot, goal, nowMs } = input
  const { needs, ways } = outlookOf(input)

  const t10 = bandOf(timesOf(ways, needs.t10DegH))
  const t90 = bandOf(timesOf(ways, needs.t90DegH))
  const best = bandOf(timesOf(ways, needs.bestDegH))
  const middle = (degH: number) => bandOf(timesOf(ways, [degH])).p50
  const harvest = {
    fromMs: Math.min(middle(needs.window.fromDegH), best.p50),
    bestMs: best.p50,
    untilMs: Math.max(middle(needs.window.untilDegH), best.p50),
    best,
  }
  const horizonMs = ways[0]?.horizonMs ?? nowMs
  return {
    atMs: nowMs,
    t10,
    t90,
    harvest,
    ...populationAt(needs, ways, nowMs),
    hatchPercentage: hatchBand(lot),
    naupliiPerG: naupliiPerGBand(lot),
    goal,
    stage: stageAt(nowMs, input.startedAtMs, { t10, harvest }),
    progress: middleDevelopment(ways, nowMs) / lot.medianDegH,
    expectedWater: waterUntil(expected, nowMs, Math.min(t90.p50, horizonMs)),
    reachesHatch: t90.p50 < horizonMs,
  }
}

/** What a forecast is reckoned from: what the lot's cases need, and the ways that the development may go, up to `throughMs` at least. */
export function outlookOf(
  input: ForecastInput,
  throughMs = input.nowMs,
): { readonly needs: Needs; readonly ways: readonly Way[] } {
  const { trace, expected, lot, goal, nowMs } = input
  const needs = needsOf(lot, goal)
  const enoughDegH = Math.max(
    needs.window.untilDegH,
    needs.t90DegH.reduce((a, b) => Math.max(a, b), 0),
  )
  const held = lot.heldDegHSd ?? 0
  const degHSd = Math.sqrt(Math.max(0, trace.degHoursSd ** 2 - held ** 2))
  return {
    needs,
    ways: waysAhead({
      trace,
      expected,
      nowMs,
      degHSd,
      throughMs,
      enoughDegH: Math.max(
        enoughDegH,
        needs.bestDegH.reduce((a, b) => Math.max(a, b), 0),
      ),
    }),
  }
}

function middleDevelopment(ways: readonly Way[], atMs: number): number {
  const way = ways[MIDDLE_WAY]
  return way === undefined ? 0 : developedBy(way, atMs)
}

/** Stages and energy at a moment, over all that lot and water may be. */
function populationAt(
  { embryos }: Needs,
  ways: readonly Way[],
  atMs: number,
): Pick<Forecast, 'hatchedNow' | 'stages' | 'energyLeft'> {
  const reached = distinct(ways.map(way => developedBy(way, atMs)))
  const shares = embryos.flatMap(one => reached.map(degH => stageShares(one, degH)))
  return {
    hatchedNow: bandOf(shares.map(share => share.hatched)),
    stages: {
      umbrella: bandOf(shares.map(share => share.umbrella)),
      instarI: bandOf(shares.map(share => share.instarI)),
      instarII: bandOf(shares.map(share => share.instarII)),
    },
    energyLeft: bandOf(shares.map(share => share.energyLeft)),
  }
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
