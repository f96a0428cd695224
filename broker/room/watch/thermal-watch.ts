import type { Band } from '../../hatch/contract.ts'
import { ThermalMemory, type ToldByLamp } from '../../hatch/thermal/memory.ts'
import { timeToLimit } from '../../hatch/thermal/time-to-limit.ts'
import { HOUR_MS } from '../../hatch/units.ts'
import type { HeadingLook, WaterHeading } from '../../rules/contract.ts'
import { PLANNED_C } from '../batch-forecast.ts'
import type { Brightening } from './lamp-watch.ts'

/** Looks lie so far apart, ms: two in a row are then two pieces of evidence. */
const LOOK_EVERY_MS = 30_000
/** Readings that come faster tell no more. */
const READ_EVERY_MS = 10_000
/** A look older than this tells nothing of now, ms. */
const STALE_MS = 3 * 60_000
/** The water's pace is read off means of this length over this time, ms. */
const MEAN_MS = 60_000
const PACE_MS = 6 * MEAN_MS
/**
 * A fit is worth its while only when the water rises at least at this share of the pace that would bring it to its limit within
 * {@link WITHIN_H}: water that nears a balance is never faster later than now. Own choice, generous for scatter.
 */
const WORTH_SHARE = 0.5
const WITHIN_H = 1.5

/**
 * Light that grows is more often the sun or a person than a lamp that runs away, so the water must bear it out, though less of it than
 * by itself: how likely it is that the water follows, where the lamp is known to be its heater and where nobody knows. How well the
 * light tells where the water heads, °C, and what a room is where no probe tells, °C. Own choices.
 */
const KNOWN_CHANCE = 0.5
const CHANCE = 0.3
const HEADS_SD_C = 3
const LAG_MS = 30_000
const USUAL_ROOM_C = 21

/** A lamp that grew brighter, in its room; `heats` is `null` while it is not known whether it is the heater. */
export interface LampSeen extends Brightening {
  readonly roomC: number | null
  readonly heats: boolean | null
}

/**
 * Watches where one vessel's water is going, with a batch or without: it keeps what the vessel's response is fitted from, and looks
 * at it twice a minute. Fixed in size.
 */
export class ThermalWatch {
  readonly #litres: number
  readonly #thermal: ThermalMemory
  #readAtMs = -Infinity
  #means: { fromMs: number; sumC: number; count: number }[] = []
  #newest: HeadingLook | null = null
  #before: HeadingLook | null = null
  #limitC = NaN
  #coolC = NaN

  constructor(litres: number) {
    this.#litres = litres
    this.#thermal = new ThermalMemory({ litres, plannedC: PLANNED_C })
  }

  get litres(): number {
    return this.#litres
  }

  /** The next good reading, calibration applied. */
  take(atMs: number, waterC: number): void {
    if (!(atMs >= this.#readAtMs + READ_EVERY_MS)) return
    this.#readAtMs = atMs
    this.#thermal.take({ atMs, waterC })
    const mean = this.#means.at(-1)
    if (mean && atMs < mean.fromMs + MEAN_MS) {
      mean.sumC += waterC
      mean.count++
    } else {
      this.#means.push({ fromMs: atMs, sumC: waterC, count: 1 })
      while ((this.#means[0]?.fromMs ?? Infinity) < atMs - PACE_MS) this.#means.shift()
    }
  }

  /** Looks, if it is time to. True when what {@link heading} gives has changed. */
  look(limitC: number, nowMs: number, lamp: LampSeen | null = null, coolC = limitC): boolean {
    this.#coolC = coolC
    if (limitC !== this.#limitC) {
      this.#limitC = limitC
      this.#newest = this.#before = null
    } else if (this.#newest && nowMs - this.#newest.atMs < LOOK_EVERY_MS) return false
    if (!(nowMs - this.#readAtMs <= STALE_MS)) {
      const had = this.#newest !== null
      this.#newest = this.#before = null
      return had
    }
    const last = this.#newest
    const at = this.#crossing(limitC, nowMs, lamp)
    this.#before = last
    this.#newest = { atMs: nowMs, at }
    // Nothing ahead, as before: the rules need not be told again.
    return !(last !== null && last.at === null && at === null)
  }

  get heading(): WaterHeading | null {
    const newest = this.#newest
    return newest && { limitC: this.#limitC, coolC: this.#coolC, newest, before: this.#before }
  }

  #crossing(limitC: number, nowMs: number, lamp: LampSeen | null): Band | null {
    const means = this.#means.filter(({ count }) => count > 0)
    const newestC = meanOf(means.at(-1))
    const oldest = means[0]
    const newest = means.at(-1)
    if (!oldest || !newest || newestC >= limitC) return null
    const hours = (newest.fromMs - oldest.fromMs) / HOUR_MS
    const risenC = newestC - meanOf(oldest)
    const neededCph = (limitC - newestC) / WITHIN_H
    if (hours > 0 && risenC / hours < WORTH_SHARE * neededCph) return null
    const response = this.#thermal.fit(lamp ? toldBy(lamp, newestC) : undefined)
    return response === null ? null : timeToLimit(response, limitC, nowMs)
  }
}

/** What holds the water above the room grows with the lamp's light, where the lamp is its heater. */
function toldBy({ sinceMs, ratio, roomC, heats }: LampSeen, waterC: number): ToldByLamp {
  const aboveC = Math.max(0, waterC - (roomC ?? USUAL_ROOM_C))
  const chance = heats === true ? KNOWN_CHANCE : CHANCE
  return { atMs: sinceMs + LAG_MS, chance, headsToC: waterC + (ratio - 1) * aboveC, sdC: HEADS_SD_C }
}

function meanOf(mean: { sumC: number; count: number } | undefined): number {
  return mean ? mean.sumC / mean.count : NaN
}
