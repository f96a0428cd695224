/**
 * How fast an embryo develops at a temperature, as a multiple of its pace at 25 °C: the curve of Brière, Pracros, Le Roux &
 * Pierre 1999, Environmental Entomology 28:22 (its first form, from memory): T (T - T0) sqrt(Tm - T). It rises ever more
 * steeply from its threshold, bends over near 31 °C and falls to nothing at Tm.
 *
 * T0 and Tm are calibrated to the two rows published for San Francisco Bay cysts at 35 g/l (20 °C: 25 h to the first, 38 h
 * to 80 %; 24 °C: 17 h and 25 h), after 1.5 h for the water to soak in. The published stop of metabolism from 33 °C
 * (New 2002, FAO Fisheries Technical Paper 428, Annex 4) is drawn here as a slope from there to 36 °C.
 */
export const THRESHOLD_C = 11.5
export const STANDSTILL_C = 36

const curve = (waterC: number) => waterC * (waterC - THRESHOLD_C) * Math.sqrt(STANDSTILL_C - waterC)
const AT_25 = curve(25)

/** Pace of development relative to 25 °C; 0 at or below {@link THRESHOLD_C} and at or above {@link STANDSTILL_C}. */
export function developmentPace(waterC: number): number {
  return waterC > THRESHOLD_C && waterC < STANDSTILL_C ? curve(waterC) / AT_25 : 0
}

/** Q10 of the metabolism of nauplii: 1.9 (Varó et al. 1998). 1 at `referenceC`. */
export function metabolicPace(waterC: number, referenceC: number): number {
  return 1.9 ** ((waterC - referenceC) / 10)
}
