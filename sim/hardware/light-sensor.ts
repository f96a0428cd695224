import type { Random } from '../random.ts'

/** Counts per lux of a BH1750; parts differ by up to a fifth (datasheet). */
const COUNTS_PER_LX = 1.2
const FULL_SCALE = 65_535
const FLICKER = 0.01

/** A light sensor of the BH1750 kind beside the vessel: lx in steps of one count. */
export class LightSensor {
  #random: Random
  #gain: number

  constructor(random: Random) {
    this.#random = random
    this.#gain = 1 + Math.min(0.2, Math.max(-0.2, 0.07 * random.normal()))
  }

  read(lightLx: number): number {
    const counts = lightLx * this.#gain * (1 + FLICKER * this.#random.normal()) * COUNTS_PER_LX
    return Math.round((Math.min(FULL_SCALE, Math.max(0, Math.round(counts))) / COUNTS_PER_LX) * 10) / 10
  }
}
