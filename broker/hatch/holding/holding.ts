import type { Band } from '../contract.ts'
import { NEVER_BEFORE_H } from '../development/earliest-hatch.ts'
import { unseenLot } from '../lot/lot.ts'
import { Z90 } from '../normal.ts'
import { lnSpread } from '../population/population.ts'
import { HOUR_MS } from '../units.ts'

/** Nauplii that are kept in the cold: how long, and what is left of their food value. Pure. */

/**
 * Hold below 10 °C for 24 h, gently aerated (Ghent course on live food); 2-4 °C for 48 h leave over 90 % alive (J. Biol. Res.
 * 2005). Warmer than that no time is published.
 */
export const COLD_UP_TO_C = 10
export const COLDEST_BAND_C = 4
const HOLD_H = { cold: 48, cool: 24 } as const
/** As good as it may be crowded, nauplii a litre (Ghent course). */
export const MOST_PER_LITRE = 8_000_000
/** A household refrigerator, °C, where nobody said. */
export const USUAL_COLD_C = 4
/** The share that is alive at the limit of 48 h at 2-4 °C, at least (J. Biol. Res. 2005). */
export const ALIVE_AT_LIMIT = 0.9

/** Energy lost in 24 h at hatching temperature, as a share: 22 to 37 % (Vanhaecke, Lavens & Sorgeloos 1983), and its middle. */
const DAY_LOSS = { p10: 0.37, p50: 0.295, p90: 0.22 } as const
/** Metabolism's Q10, about 1.9 (Varó et al. 1998), and the temperature that the loss is given for, °C: the middle of the trade's range. */
const Q10 = 1.9
const LOSS_AT_C = 27

/** How fast energy is used at a temperature, as a share of how fast at 27 °C. */
export function paceInCold(coldC: number): number {
  return Q10 ** ((coldC - LOSS_AT_C) / 10)
}

/** How long nauplii may be held at a temperature, h; 0 where it is too warm to hold them. */
export function holdHours(coldC: number): number {
  if (!(coldC <= COLD_UP_TO_C)) return 0
  return coldC <= COLDEST_BAND_C ? HOLD_H.cold : HOLD_H.cool
}

/** How much later than the first tenth the mean nauplius is out, as a share of the time until then: 10 % lies Z90 deviations early. */
const MEAN_AFTER_FIRST = Math.exp(Z90 * lnSpread(unseenLot.spread)) - 1

/**
 * Age of the mean nauplius when it was taken out of its vessel, h at the vessel's temperature: from when the first tenth was out and how
 * far the hatch of a usual lot stretches. While most are still coming it is half of the eldest's. `null` where no first is known.
 */
export function meanAgeAtTaking(
  startedAtMs: number,
  firstOutAtMs: number | null,
  takenAtMs: number,
): number | null {
  if (firstOutAtMs === null) return null
  const meanOutMs = firstOutAtMs + (firstOutAtMs - startedAtMs) * MEAN_AFTER_FIRST
  const ageMs = Math.max(takenAtMs - meanOutMs, (takenAtMs - firstOutAtMs) / 2, 0)
  return Math.min(ageMs, eldestMs(startedAtMs, takenAtMs)) / HOUR_MS
}

/** The most that nauplii can be old, ms: they are never older than their batch, less the time before anything can hatch. */
function eldestMs(startedAtMs: number, takenAtMs: number): number {
  return Math.max(0, takenAtMs - startedAtMs - NEVER_BEFORE_H * HOUR_MS)
}

/** Where no forecast tells since when they were out, h: the middle of a harvest window. Own choice. */
const UNKNOWN_AGE_H = 6

/** The age that is taken where nothing tells it, h. */
export function unknownAgeAtTaking(startedAtMs: number, takenAtMs: number): number {
  return Math.min(UNKNOWN_AGE_H, eldestMs(startedAtMs, takenAtMs) / HOUR_MS)
}

/** Energy of the mean nauplius after so many hours in the cold, as a share of what it hatched with: see {@link heldState}. */
export function energyInCold(energyAtTaking: number, heldH: number, coldC: number): Band {
  const days = (heldH / 24) * paceInCold(coldC)
  const left = (loss: number) => energyAtTaking * (1 - loss) ** days
  return { p10: left(DAY_LOSS.p10), p50: left(DAY_LOSS.p50), p90: left(DAY_LOSS.p90) }
}

export interface HeldPortion {
  readonly takenAtMs: number
  /** The refrigerator's, °C. */
  readonly coldC: number
  /** Energy of the mean nauplius when it was taken, as a share of what it hatched with. */
  readonly energyAtTaking: number
}

export interface HeldState {
  /** Hours in the cold by now. */
  readonly heldH: number
  readonly untilMs: number
  /** Energy of the mean nauplius now, as a share of what it hatched with. */
  readonly energyLeft: Band
  /** Whether it is past its published time. */
  readonly isOver: boolean
}

/**
 * What a portion is worth at a moment. What is published of the loss at hatching temperature is slowed by the Q10 of metabolism: computed,
 * 7.7 % a day at 4 °C. The moult to instar II is taken not to come in the cold: below 12 °C development stands still. Past the published
 * time the loss is carried on, but nothing is said of how many live.
 */
export function heldState({ takenAtMs, coldC, energyAtTaking }: HeldPortion, nowMs: number): HeldState {
  const heldH = Math.max(0, (nowMs - takenAtMs) / HOUR_MS)
  const untilMs = takenAtMs + holdHours(coldC) * HOUR_MS
  return {
    heldH,
    untilMs,
    energyLeft: energyInCold(energyAtTaking, heldH, coldC),
    isOver: nowMs >= untilMs,
  }
}
