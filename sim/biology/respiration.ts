import { metabolicPace } from './temperature-response.ts'

/** mg of oxygen per gram of hydrated cysts and hour before emergence (Glasheen & Hand 1989, converted), taken at 25 °C. */
const CYSTS_MGPGH = 1.17
/** ng of oxygen per nauplius and hour at 27.5 °C: middle of 25 to 42 (Irwin, Wall & Davenport 2007; Paffenhöfer 1967). */
const NAUPLIUS_NGPH = 33

/** What `grams` of hydrated, unhatched cysts take from plenty of oxygen, mg/h. */
export function cystDemandMgph(grams: number, waterC: number): number {
  return CYSTS_MGPGH * grams * metabolicPace(waterC, 25)
}

/** What `count` nauplii take from plenty of oxygen, mg/h. */
export function naupliusDemandMgph(count: number, waterC: number): number {
  return NAUPLIUS_NGPH * 1e-6 * count * metabolicPace(waterC, 27.5)
}
