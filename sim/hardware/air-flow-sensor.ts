import type { Random } from '../random.ts'

/** Scatter of single readings: bubbles pulse. Assumed. */
const PULSE = 0.03
const FLOOR_LPM = 0.004

/** A flow sensor in one vessel's air line. Reads litres a minute, in steps of 0.001, never below zero. */
export class AirFlowSensor {
  #random: Random
  #gain: number

  constructor(random: Random) {
    this.#random = random
    this.#gain = 1 + 0.02 * random.normal()
  }

  read(airLpm: number): number {
    const seen = airLpm * this.#gain * (1 + PULSE * this.#random.normal()) + FLOOR_LPM * this.#random.normal()
    return Math.max(0, Math.round(seen * 1000) / 1000)
  }
}
