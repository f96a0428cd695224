/**
 * The hatch clock: development runs in degree-hours above a threshold, so that time = K / (T - T0).
 *
 * The form and its thresholds: Jia et al. 2009, doi 10.1007/s11515-009-0029-2 (T0 9.94 °C, Artemia parthenogenetica);
 * 9.07 °C is published for A. sinica, and a two-point fit to published San Francisco Bay rows gives 11.5 °C for the first
 * nauplii and 12.3 °C for 80 %. The straight line fails below about 12 and above about 30 °C.
 */

/** Threshold of the thermal constant, °C: a working value within the published and fitted 9 to 12.3. */
export const THRESHOLD_C = 11
/** Below this nothing is counted, °C: the straight line does not hold there. */
export const COUNTS_FROM_C = 12
/** From here to {@link STOPS_ABOVE_C} more heat gains nothing, °C. */
export const FLAT_FROM_C = 30
/**
 * Above this nothing is counted, °C: FAO Fisheries Technical Paper 428, Annex 4, has active metabolism up to about 33 °C
 * and a reversible interruption from 33 to 40 °C. It is where development pauses, not where embryos die.
 */
export const STOPS_ABOVE_C = 33

const FLAT_RATE = FLAT_FROM_C - THRESHOLD_C

/**
 * How fast embryos develop at a water temperature, °C·h per hour, that is °C above the threshold: 0 below 12 °C,
 * T - 11 from 12 to 30 °C, 19 from 30 to 33 °C, 0 above 33 °C. A temperature that is no number develops nothing.
 */
export function developmentRate(waterC: number): number {
  if (!(waterC >= COUNTS_FROM_C && waterC <= STOPS_ABOVE_C)) return 0
  return waterC < FLAT_FROM_C ? waterC - THRESHOLD_C : FLAT_RATE
}

/**
 * Development while the water goes in a straight line from one temperature to another, °C·h. Within a straight piece of
 * the rate this is the trapezoid; across a bend or a jump each piece is taken by itself, so that it stays exact.
 */
export function developmentBetween(fromC: number, toC: number, hours: number): number {
  if (!(hours > 0)) return 0
  if (fromC === toC || piece(fromC) === piece(toC)) {
    return ((developmentRate(fromC) + developmentRate(toC)) / 2) * hours
  }
  if (!Number.isFinite(fromC) || !Number.isFinite(toC)) return 0
  return ((ratePrimitive(toC) - ratePrimitive(fromC)) / (toC - fromC)) * hours
}

/** Which straight piece of the rate a temperature lies in. */
function piece(waterC: number): number {
  if (waterC < COUNTS_FROM_C) return 0
  if (waterC < FLAT_FROM_C) return 1
  return waterC <= STOPS_ABOVE_C ? 2 : 3
}

/** Integral of the rate over temperature, from {@link COUNTS_FROM_C}. */
function ratePrimitive(waterC: number): number {
  const low = Math.min(Math.max(waterC, COUNTS_FROM_C), FLAT_FROM_C) - THRESHOLD_C
  const flat = Math.min(Math.max(waterC, FLAT_FROM_C), STOPS_ABOVE_C) - FLAT_FROM_C
  const start = COUNTS_FROM_C - THRESHOLD_C
  return (low * low - start * start) / 2 + flat * FLAT_RATE
}
