import { type Forecast, HarvestGoal } from '../../broker/hatch/contract.ts'
import { advance, beginTrace } from '../../broker/hatch/development/development.ts'
import { timesOf } from '../../broker/hatch/development/ways.ts'
import { forecast, outlookOf } from '../../broker/hatch/forecast.ts'
import { lotBelief } from '../../broker/hatch/lot/belief.ts'
import type { BatchEvidence } from '../../broker/hatch/lot/evidence.ts'
import { expectWater } from '../../broker/hatch/thermal/expected-water.ts'
import { drawLot } from '../../sim/biology/lot.ts'
import { seededRandom } from '../../sim/random.ts'
import { drawKeeper, observe } from './keeper.ts'
import { hiddenAt, playBatch, type Played } from './played.ts'
import { drawVessel } from './vessel.ts'
import { outdoorTemperatures } from './weather.ts'

const HOUR_MS = 3_600_000
const BEGINS_MS = Date.UTC(2026, 0, 5, 8)
export const BATCHES_A_LOT = 5
/** The plan where nothing is measured, °C: the trade's working range. */
const PLANNED_C = 27.2

/** One forecast at half-time, scored. Errors are forecast minus truth. */
export interface Scored {
  readonly lot: number
  /** How often the lot had been counted before. */
  readonly countedBefore: number
  readonly byWeather: boolean
  readonly t90H: number
  readonly errorH: number
  readonly bandH: number
  /** Whether the truth lies in the 80 % band. */
  readonly held: boolean
  /** Share of the forecast that lies before the truth: even between 0 and 1 for a forecast that is right about its doubt. */
  readonly place: number
  readonly windowH: number
  /** Whether the harvest window overlaps the hour around the best moment. */
  readonly windowHit: boolean
  /** Usable food at the moment called best, as a share of the most there was. */
  readonly foodAtBest: number
}

export interface SeasonOptions {
  readonly lots: number
  readonly seed: number
  /** See `drawLot`; the simulator's own when left out. */
  readonly rangeZ?: number
  readonly onLot?: (done: number) => void
}

/** Lots that nobody knows, each used for some batches in turn, each batch forecast at half of its true T90. */
export function playSeason({ lots, seed, rangeZ, onLot }: SeasonOptions): Scored[] {
  const outdoorC = outdoorTemperatures()
  return Array.from({ length: lots }, (_, lot) => {
    const scored = scoreLot(lot, playLot(lot, seed, outdoorC, rangeZ))
    onLot?.(lot + 1)
    return scored
  }).flat()
}

/** One lot's batches, each with what its keeper wrote down. */
export interface PlayedLot {
  readonly batches: readonly { readonly played: Played; readonly evidence: BatchEvidence }[]
}

export function playLot(lot: number, seed: number, outdoorC: readonly number[], rangeZ?: number): PlayedLot {
  const random = seededRandom(seed).fork(`lot ${lot}`)
  const cysts = drawLot(random.fork('cysts'), rangeZ)
  const keeper = drawKeeper(random.fork('keeper'))
  const days = random.fork('days')
  let startedAtMs = BEGINS_MS
  const batches = Array.from({ length: BATCHES_A_LOT }, (_, batch) => {
    const own = random.fork(`batch ${batch}`)
    const vessel = drawVessel(own.fork('vessel'), outdoorC, (lot + batch) % 2 === 1)
    const played = playBatch(vessel, cysts, startedAtMs, Math.floor(own.fork('world').uniform() * 2 ** 31))
    const trace = played.samples.reduce((trace, sample) => advance(trace, sample), beginTrace(startedAtMs))
    startedAtMs += Math.ceil(1 + 4 * days.uniform()) * 24 * HOUR_MS
    return { played, evidence: observe(played, trace, keeper, own.fork('looks')) }
  })
  return { batches }
}

export function scoreLot(lot: number, { batches }: PlayedLot): Scored[] {
  return batches.map(({ played }, batch) => {
    const history = batches.slice(0, batch).map(({ evidence }) => evidence)
    return scoreBatch(lot, played, history)
  })
}

function scoreBatch(lot: number, played: Played, history: readonly BatchEvidence[]): Scored {
  const { startedAtMs, t90Ms, bestMs } = played
  const nowMs = startedAtMs + (t90Ms - startedAtMs) / 2
  const known = played.samples.filter(sample => sample.atMs <= nowMs)
  const input = {
    startedAtMs,
    nowMs,
    trace: known.reduce((trace, sample) => advance(trace, sample), beginTrace(startedAtMs)),
    expected: expectWater(known, nowMs, PLANNED_C, { litres: played.vessel.scenario.litres }),
    lot: lotBelief(history, null, startedAtMs),
    goal: HarvestGoal.balanced,
  }
  const result = forecast(input)
  const { needs, ways } = outlookOf(input)
  const times = timesOf(ways, needs.t90DegH)
  const { t90, harvest } = result
  const most = hiddenAt(played, bestMs).food
  return {
    lot,
    countedBefore: history.length,
    byWeather: played.vessel.scenario.roomMean.length > 0,
    t90H: (t90Ms - startedAtMs) / HOUR_MS,
    errorH: (t90.p50 - t90Ms) / HOUR_MS,
    bandH: (t90.p90 - t90.p10) / HOUR_MS,
    held: t90Ms >= t90.p10 && t90Ms <= t90.p90,
    place: times.filter(at => at <= t90Ms).length / times.length,
    windowH: (harvest.untilMs - harvest.fromMs) / HOUR_MS,
    windowHit: overlaps(harvest, bestMs),
    foodAtBest: hiddenAt(played, harvest.bestMs).food / most,
  }
}

function overlaps({ fromMs, untilMs }: Forecast['harvest'], bestMs: number): boolean {
  return fromMs <= bestMs + HOUR_MS / 2 && untilMs >= bestMs - HOUR_MS / 2
}
