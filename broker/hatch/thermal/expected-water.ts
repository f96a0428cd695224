import type { WaterSample } from '../contract.ts'
import { HOUR_MS } from '../units.ts'
import { projectWater } from './projection.ts'
import { fitThermalResponse, type ThermalResponse } from './response.ts'

/** What the water is expected to be at a moment: its middle, and the standard deviation of that expectation, °C. */
export interface WaterLevel {
  readonly levelC: number
  readonly spreadC: number
}

/**
 * What the water is expected to do from now on. Asked by time, so that a planned temperature and a fitted response to lamp and
 * room both stand behind it. The spread is that of the level as a whole: water that turns out warmer than expected is
 * warmer throughout.
 */
export interface ExpectedWater {
  readonly basis: 'measured' | 'planned'
  at(atMs: number): WaterLevel
}

export interface ExpectOptions {
  /** Litres of water in the vessel: how slowly it answers to its heater, where readings do not tell yet. */
  readonly litres?: number
  /** Fitted already, by a memory that is kept; then `recent` is not looked at. */
  readonly response?: ThermalResponse | null
}

/** How far back readings tell what the water will do, ms. Own choice: a vessel of some litres settles within hours. */
export const RECENT_MS = 3 * HOUR_MS
/** How well a keeper's plan is kept when nothing is measured, °C. Own choice. */
const PLANNED_SPREAD_C = 1.5

/**
 * Expects the water to go on as its own thermal response says: from where it is to where heater and room take it, with a band that
 * widens. With nothing measured it is expected at `plannedC`, which also stands in where readings do not tell yet where the
 * water will settle.
 *
 * `recent` is in the order of time and may reach further back than is used; samples that are no number, or newer than `nowMs`,
 * are passed over.
 */
export function expectWater(
  recent: readonly WaterSample[],
  nowMs: number,
  plannedC: number,
  options: ExpectOptions = {},
): ExpectedWater {
  const { litres, response } = options
  const fitted =
    response === undefined
      ? fitThermalResponse(newest(recent, nowMs), nowMs, {
          plannedC,
          ...(litres === undefined ? {} : { litres }),
        })
      : response
  return fitted === null ? asPlanned(plannedC) : projectWater(fitted, nowMs)
}

function asPlanned(plannedC: number): ExpectedWater {
  const level: WaterLevel = { levelC: plannedC, spreadC: PLANNED_SPREAD_C }
  return { basis: 'planned', at: () => level }
}

/** The part of {@link RECENT_MS} up to the newest usable sample. */
function newest(recent: readonly WaterSample[], nowMs: number): readonly WaterSample[] {
  let last = recent.length - 1
  while (last >= 0 && !usable(recent[last], nowMs)) last--
  const oldestMs = (recent[last]?.atMs ?? 0) - RECENT_MS
  let first = last
  while (first > 0 && (recent[first - 1]?.atMs ?? 0) > oldestMs) first--
  return recent.slice(Math.max(first, 0), last + 1)
}

function usable(sample: WaterSample | undefined, nowMs: number): boolean {
  return sample !== undefined && Number.isFinite(sample.waterC) && sample.atMs <= nowMs
}
