import { Quality, Quantity } from './reading.ts'

/** The value of a DS18B20 that has not measured since it got power: 0550h (DS18B20 datasheet, temperature register table). */
export const POWER_ON_C = 85
/** What drivers report for a DS18B20 that does not answer (common practice, no source). */
export const DISCONNECTED_C = -127
/** An all-zero scratchpad passes the CRC (x8 + x5 + x4 + 1 of zeroes is zero) and reads as this. */
export const ALL_ZERO_C = 0

/** A probe that was measuring this close to its fault value a moment ago is measuring still. Own choice. */
const BELIEVABLE_STEP_C = 5

/**
 * What each quantity can be at all. Water: brine in a vessel is liquid, with room above for a real disaster, so that heat is
 * never hidden. Room: a person works there, or a lamp shines on the probe. Air: beyond what a pump for cones gives; a flow
 * meter's zero may read a little below. Light: full sun is about 120,000 lx. Level: somewhat off at either end of a share. All own choice.
 */
const POSSIBLE: Readonly<Record<Exclude<Quantity, 'other'>, readonly [least: number, greatest: number]>> = {
  water: [-5, 105],
  room: [-40, 84],
  air: [-1, 500],
  light: [-5, 200_000],
  level: [-0.2, 2],
}

/**
 * The fault that a single value gives away.
 * @param before the channel's latest good value; `null` when there is none.
 */
export function faultOf(quantity: Quantity, value: number, before: number | null): Quality {
  if (quantity === Quantity.other) return Quality.good
  if (quantity === Quantity.water || quantity === Quantity.room) {
    if (value === DISCONNECTED_C) return Quality.disconnected
    if (value === POWER_ON_C && !near(value, before)) return Quality.powerOn
    if (quantity === Quantity.water && value === ALL_ZERO_C && !near(value, before)) return Quality.allZero
  }
  const [least, greatest] = POSSIBLE[quantity]
  return value < least || value > greatest ? Quality.outOfRange : Quality.good
}

function near(value: number, before: number | null): boolean {
  return before !== null && Math.abs(value - before) <= BELIEVABLE_STEP_C
}
