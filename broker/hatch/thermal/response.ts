import type { Band, WaterSample } from '../contract.ts'
import type { HeaterCycle } from './cycle.ts'
import { ThermalMemory, type MemoryOptions } from './memory.ts'
import type { ThermalCase } from './posterior.ts'

/**
 * How one vessel answers to its heater and its room, as far as the readings tell: dT/dt = (equilibrium - T) / time constant. What is
 * not known yet shows as wide bands. It is a value: it does not change as further readings come.
 */
export interface ThermalResponse {
  /** The newest reading, Unix ms. */
  readonly asOfMs: number
  /** The water at that moment, °C, by this probe; the mean of the cycle where the heater cycles. */
  readonly levelC: Band
  /** Where the water is heading if nothing changes, °C. */
  readonly equilibriumC: Band
  /** In so many hours 63 % of the way there is gone. */
  readonly timeConstantH: Band
  /** Scatter of single readings, one standard deviation, °C. */
  readonly noiseC: number
  /** Since when this equilibrium holds, Unix ms: a change was found there, or the readings begin. */
  readonly sinceMs: number
  /** Pieces of at most a minute that readings were gathered into, or what is left of them, since then. */
  readonly pieces: number
  /** The heater's cycle, or `null` where it does not go on and off. */
  readonly cycle: HeaterCycle | null
  /** The ways the vessel may be, with their weights: the bands are read off these. */
  readonly cases: readonly ThermalCase[]
}

/**
 * Fits the response to readings in the order of time; late, repeated and numberless ones and those after `nowMs` are passed over.
 * `null` when nothing usable was measured. The same as a {@link ThermalMemory} that takes them one by one, which costs less
 * where readings keep coming.
 */
export function fitThermalResponse(
  readings: readonly WaterSample[],
  nowMs: number,
  options: MemoryOptions = {},
): ThermalResponse | null {
  const memory = new ThermalMemory(options)
  for (const reading of readings) if (reading.atMs <= nowMs) memory.take(reading)
  return memory.fit()
}
