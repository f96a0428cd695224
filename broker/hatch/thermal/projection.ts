import type { Band } from '../contract.ts'
import { Z90 } from '../normal.ts'
import { HOUR_MS } from '../units.ts'
import type { ExpectedWater, WaterLevel } from './expected-water.ts'
import type { ThermalResponse } from './response.ts'
import { roomVarianceAt, roomVarianceUntil, shareInWater } from './room-day.ts'
import { BELIEVABLE_C } from './vessel-prior.ts'

/** What the water is expected to be at each of some moments, °C by this probe: for a band behind the measured line. */
export interface ProjectedBand {
  readonly p10C: number[]
  readonly p50C: number[]
  readonly p90C: number[]
}

/** Why a projection does not go where the fit alone would. */
export const HeldAt = { coldest: 'coldest-believable', hottest: 'hottest-believable' } as const
export type HeldAt = (typeof HeldAt)[keyof typeof HeldAt]

/** A response carried on ahead of its newest reading. */
export interface Projection extends ExpectedWater {
  readonly basis: 'measured'
  /** Which edge of {@link BELIEVABLE_C} the middle of the equilibrium is held at; `null` where it is as fitted. */
  readonly heldAt: HeldAt | null
  /** What this probe will read: without the doubt about its own error, but with its scatter and the heater's cycle. */
  readingAt(atMs: number): WaterLevel
}

/** A level is never known better than the probe: ±0.5 °C (DS18B20 datasheet), taken as two standard deviations. */
export const PROBE_SPREAD_C = 0.25
/** What is lost in certainty with each hour that nothing was heard of a vessel, and at most, °C. Own choice. */
const SPREAD_PER_SILENT_HOUR_C = 0.25
const MOST_SILENT_SPREAD_C = 1.5
/** No room and lamp that were ever seen leave more doubt than this, °C. Own choice. */
const MOST_SPREAD_C = 6
/** Moments worked out, hours after the newest reading; in between a straight line. */
const HOURS_AHEAD = [
  0, 0.1, 0.2, 0.35, 0.5, 0.75, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 36, 48,
] as const

/**
 * What the water does from the newest reading on if heater and room go on as they are: it nears its equilibrium, and it is the less
 * sure the further ahead, up to what a room's day does to it. `nowMs` counts the silence since the newest reading.
 */
export function projectWater(response: ThermalResponse, nowMs: number): Projection {
  const { asOfMs } = response
  const silentH = Math.max(0, (nowMs - asOfMs) / HOUR_MS)
  const silentC = Math.min(silentH * SPREAD_PER_SILENT_HOUR_C, MOST_SILENT_SPREAD_C)
  let forReadings: WaterLevel[] | null = null
  const forLevel = HOURS_AHEAD.map(hours => levelAfter(response, hours, roomVarianceUntil(hours)))
  const meanAt = (table: readonly WaterLevel[], atMs: number): WaterLevel => {
    const { levelC, spreadC } = between(table, (atMs - asOfMs) / HOUR_MS)
    return { levelC, spreadC: Math.min(Math.hypot(spreadC, silentC), MOST_SPREAD_C) }
  }
  // A reading scatters; and where the heater cycles it lies anywhere on a saw-tooth, whose standard deviation is swing / √12.
  const scatterC = Math.hypot(response.noiseC, (response.cycle?.swingC ?? 0) / Math.sqrt(12))
  return {
    basis: 'measured',
    heldAt: heldAt(response.equilibriumC),
    readingAt: atMs => {
      forReadings ??= HOURS_AHEAD.map(hours => levelAfter(response, hours, roomVarianceAt(hours)))
      const { levelC, spreadC } = meanAt(forReadings, atMs)
      return { levelC, spreadC: Math.hypot(spreadC, scatterC) }
    },
    at: atMs => {
      const { levelC, spreadC } = meanAt(forLevel, atMs)
      return { levelC, spreadC: Math.hypot(spreadC, PROBE_SPREAD_C) }
    },
  }
}

/** The projection's 10th, 50th and 90th percentile at each moment: 80 of 100 of this probe's readings fall between. */
export function projectedBand(projection: Projection, atMs: readonly number[]): ProjectedBand {
  const band: ProjectedBand = { p10C: [], p50C: [], p90C: [] }
  for (const moment of atMs) {
    const { levelC, spreadC } = projection.readingAt(moment)
    band.p10C.push(levelC - Z90 * spreadC)
    band.p50C.push(levelC)
    band.p90C.push(levelC + Z90 * spreadC)
  }
  return band
}

function levelAfter({ cases }: ThermalResponse, hours: number, roomVariance: number): WaterLevel {
  let mean = 0
  let square = 0
  for (const one of cases) {
    const { weight, tauH, levelC, levelVar, covariance, equilibriumVar } = one
    const headsToC = Math.min(Math.max(one.equilibriumC, BELIEVABLE_C.low), BELIEVABLE_C.high)
    const keep = Math.exp(-hours / tauH)
    const lost = 1 - keep
    const thenC = keep * levelC + lost * headsToC
    const variance = keep * keep * levelVar + 2 * keep * lost * covariance + lost * lost * equilibriumVar
    mean += weight * thenC
    square += weight * (Math.max(variance, 0) + roomVariance * shareInWater(hours, tauH) + thenC * thenC)
  }
  return { levelC: mean, spreadC: Math.sqrt(Math.max(square - mean * mean, 0)) }
}

function between(table: readonly WaterLevel[], hours: number): WaterLevel {
  let after = 0
  while (after < HOURS_AHEAD.length - 1 && (HOURS_AHEAD[after] ?? 0) < hours) after++
  const to = table[after] ?? { levelC: NaN, spreadC: NaN }
  const from = table[after - 1] ?? to
  const fromH = HOURS_AHEAD[after - 1] ?? 0
  const spanH = (HOURS_AHEAD[after] ?? 0) - fromH
  const share = spanH > 0 ? Math.min(Math.max((hours - fromH) / spanH, 0), 1) : 0
  return {
    levelC: from.levelC + (to.levelC - from.levelC) * share,
    spreadC: from.spreadC + (to.spreadC - from.spreadC) * share,
  }
}

function heldAt({ p50 }: Band): HeldAt | null {
  if (p50 > BELIEVABLE_C.high) return HeldAt.hottest
  return p50 < BELIEVABLE_C.low ? HeldAt.coldest : null
}
