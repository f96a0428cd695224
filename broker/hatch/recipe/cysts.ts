import { within } from './errors.ts'
import { RECIPE_LIMITS } from './limits.ts'
import { CYST_SPOON } from './spoons.ts'

/** From here on a vessel counts as large, litres. */
const LARGE_FROM_L = 20
const SMALL_GPL = 5
const LARGE_GPL = 2

/** Half a teaspoon a litre, the lower end of the trade's half to one: common practice, no source. g/L. */
export const USUAL_CYSTS_GPL = CYST_SPOON.grams / 2

/** The same in the unit of the field it stands at, and in spoons. */
export const USUAL_CYSTS_HINT = `${USUAL_CYSTS_GPL} to ${CYST_SPOON.grams} is usual: ½ to 1 level teaspoon a litre`

/**
 * Most cysts that a vessel should get, g/L: up to 5 below 20 L, otherwise 2 (freshwater-prawn farming handbook after Lavens & Sorgeloos
 * 1996, FAO 361, and New 2002, FAO 428, Annex 4).
 */
export function mostCystsGpl(litres: number): number {
  within('dose cysts', 'litres', RECIPE_LIMITS.litres, litres)
  return litres < LARGE_FROM_L ? SMALL_GPL : LARGE_GPL
}

/** Grams of dry cysts for some litres, and whether they are more than the vessel should get. */
export function cystDose(
  litres: number,
  cystsGpl: number,
): { cystsG: number; mostGpl: number; tooMany: boolean } {
  within('dose cysts', 'cystsGpl', RECIPE_LIMITS.cystsGpl, cystsGpl)
  const mostGpl = mostCystsGpl(litres)
  return { cystsG: litres * cystsGpl, mostGpl, tooMany: cystsGpl > mostGpl }
}
