import type { Random } from '../random.ts'

/** Scatter of single readings: bubbles heave the surface, as a share of the full vessel. Assumed. */
const HEAVE = 0.015
/** The error of its full mark. Assumed. */
const GAIN = 0.02

/** A level probe down the inside of a vessel: how high the water stands, as a share of the vessel as it was filled. */
export class LevelSensor {
  #random: Random
  #gain: number

  constructor(random: Random) {
    this.#random = random
    this.#gain = 1 + GAIN * random.normal()
  }

  read(share: number, bubbles: boolean): number {
    const seen = share * this.#gain + (bubbles ? HEAVE : HEAVE / 5) * this.#random.normal()
    return Math.max(0, Math.round(seen * 1000) / 1000)
  }
}
