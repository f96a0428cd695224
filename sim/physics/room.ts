import type { Random } from '../random.ts'

export interface RoomSetting {
  /** Mean over a day, °C. */
  readonly meanC: number
  /** Half the way between the coldest and the warmest hour, °C. */
  readonly swingC: number
  /** Doors opened, on average. */
  readonly draughtsPerDay: number
  /** Hour of the day at which the world begins, 0 to 24. */
  readonly startHour: number
  /** 0 to 1. */
  readonly humidity: number
}

/** Warmest in the middle of the afternoon. */
const WARMEST_HOUR = 15.5
/** A draught is gone to a third in this time. */
const DRAUGHT_FADES_H = 0.2
/** Slow wandering of a room's air: thermostat, people, weather. */
const WANDER_C = 0.15
const WANDER_H = 0.7

/** The room's air: day and night, doors, and a little wandering. */
export class RoomAir {
  #setting: RoomSetting
  #random: Random
  #hours = 0
  #draughtC = 0
  #nextDraughtH: number
  #wanderC = 0
  #meanC: number

  constructor(setting: RoomSetting, random: Random) {
    this.#setting = setting
    this.#random = random
    this.#meanC = setting.meanC
    this.#nextDraughtH = this.#untilDraught()
  }

  /** Lets `stepS` seconds pass. `meanC` is the mean that heating and weather give at that time. */
  step(stepS: number, meanC: number): void {
    const stepH = stepS / 3600
    this.#hours += stepH
    this.#meanC = meanC
    this.#draughtC *= Math.exp(-stepH / DRAUGHT_FADES_H)
    while (this.#hours >= this.#nextDraughtH) {
      this.#draughtC -= 0.8 + 1.2 * this.#random.uniform()
      this.#nextDraughtH += this.#untilDraught()
    }
    const kept = Math.exp(-stepH / WANDER_H)
    this.#wanderC = this.#wanderC * kept + WANDER_C * Math.sqrt(1 - kept * kept) * this.#random.normal()
  }

  get airC(): number {
    const day = Math.cos(((this.#hourOfDay - WARMEST_HOUR) / 24) * 2 * Math.PI)
    return this.#meanC + this.#setting.swingC * day + this.#draughtC + this.#wanderC
  }

  /** Daylight that reaches the vessels, lx: a room with a window, at most 150. */
  get daylightLx(): number {
    return Math.max(0, 150 * Math.sin(((this.#hourOfDay - 6) / 12) * Math.PI))
  }

  get humidity(): number {
    return this.#setting.humidity
  }

  get #hourOfDay(): number {
    return (this.#setting.startHour + this.#hours) % 24
  }

  #untilDraught(): number {
    const { draughtsPerDay } = this.#setting
    return draughtsPerDay > 0 ? (24 / draughtsPerDay) * this.#random.exponential() : Infinity
  }
}
