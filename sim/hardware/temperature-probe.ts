import type { Random } from '../random.ts'

/** What can be wrong with a probe of the DS18B20 kind. */
export const ProbeFault = {
  none: 'none',
  /** Its supply dips: it answers the value it holds at power-up. */
  powerOn: 'power-on',
  /** Unplugged or cut: the driver reports -127. */
  disconnected: 'disconnected',
  /** The data line is held low: every byte is zero, which passes the check sum. */
  allZero: 'all-zero',
  /** It goes on answering its last value. */
  frozen: 'frozen',
  /** Fallen out of the vessel: it measures the room. */
  outOfWater: 'out-of-water',
} as const
export type ProbeFault = (typeof ProbeFault)[keyof typeof ProbeFault]

/** Step of a 12-bit reading (DS18B20 datasheet), °C. */
export const PROBE_STEP_C = 0.0625
/** Scatter of single readings before rounding, °C; assumed. */
const NOISE_C = 0.03
/** How long a sheathed probe lags behind, s; in air it is slower. Assumed. */
const LAG_WATER_S = 25
const LAG_AIR_S = 150

export interface ProbeSetting {
  /** Constant error of this probe, °C; the datasheet allows ±0.5. */
  readonly offsetC: number
}

/** A temperature probe in a steel sheath. */
export class TemperatureProbe {
  fault: ProbeFault = ProbeFault.none
  #setting: ProbeSetting
  #random: Random
  #sheathC: number
  #answered: number | null = null

  constructor(setting: ProbeSetting, startC: number, random: Random) {
    this.#setting = setting
    this.#random = random
    this.#sheathC = startC
  }

  step(stepS: number, waterC: number, roomC: number): void {
    const inAir = this.fault === ProbeFault.outOfWater
    const toC = inAir ? roomC : waterC
    this.#sheathC = toC + (this.#sheathC - toC) * Math.exp(-stepS / (inAir ? LAG_AIR_S : LAG_WATER_S))
  }

  /** One reading, °C. */
  read(): number {
    switch (this.fault) {
      case ProbeFault.powerOn:
        return 85
      case ProbeFault.disconnected:
        return -127
      case ProbeFault.allZero:
        return 0
      case ProbeFault.frozen:
        return (this.#answered ??= this.#measure())
      default:
        return (this.#answered = this.#measure())
    }
  }

  #measure(): number {
    const seenC = this.#sheathC + this.#setting.offsetC + NOISE_C * this.#random.normal()
    return Math.round(seenC / PROBE_STEP_C) * PROBE_STEP_C
  }
}
