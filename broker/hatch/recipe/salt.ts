import { RecipeError, within } from './errors.ts'
import { RECIPE_LIMITS } from './limits.ts'
import { gplToGpkg } from './salinity.ts'
import { brineDensity, waterDensity } from './seawater.ts'

/** The salt as it comes out of its packet. */
export interface SaltProduct {
  /** Share of the dry product that is salt, 0.5 to 1. */
  readonly purity: number
  /** Share of what is weighed that is water, 0 to 0.3: coarse and damp salt has some. */
  readonly moisture: number
}
export const PURE_SALT: SaltProduct = { purity: 1, moisture: 0 }

/** Brine that stands there already. */
export interface Brine {
  readonly litres: number
  readonly salinityGpl: number
  readonly waterC: number
}

/** Salt and water that make brine. */
export interface SaltAndWater {
  /** Grams of the product, as it comes. */
  readonly saltG: number
  /** Litres of fresh water at the brine's temperature. */
  readonly waterL: number
}

const VERB = 'weigh salt'

/**
 * For a litre of brine: salt first, then water up to the mark. `litres` is the brine when it is ready, so the salt is simply
 * litres × g/L of salt; `waterL` is the fresh water that it takes, a little less than the brine.
 */
export function saltForBrine(brine: Brine, salt: SaltProduct = PURE_SALT): SaltAndWater {
  const { litres, salinityGpl, waterC } = checked(brine)
  const saltG = (litres * salinityGpl) / usable(salt)
  const massG = litres * brineDensity(gplToGpkg(salinityGpl, waterC), waterC)
  // What is in the packet besides salt counts as water: it weighs, and is not salt.
  return { saltG, waterL: (massG - saltG) / waterDensity(waterC) }
}

/**
 * For a litre of water: `litres` of fresh water are measured, and the salt goes into them, so the brine becomes a little more
 * than that and takes a little more salt, grams of the product.
 */
export function saltForWater(brine: Brine, salt: SaltProduct = PURE_SALT): number {
  const { litres, salinityGpl, waterC } = checked(brine)
  const waterG = litres * waterDensity(waterC)
  const share = gplToGpkg(salinityGpl, waterC) / 1000
  return (waterG * share) / (usable(salt) - share)
}

/** Grams of the product that raise standing brine to a salinity, g/L; nothing is taken out, so it rises a little in the vessel. */
export function saltToRaise(brine: Brine, toGpl: number, salt: SaltProduct = PURE_SALT): number {
  const { litres, salinityGpl, waterC } = checked(brine)
  within(VERB, 'toGpl', { from: salinityGpl, to: RECIPE_LIMITS.salinityGpl.to }, toGpl)
  const from = gplToGpkg(salinityGpl, waterC)
  const to = gplToGpkg(toGpl, waterC) / 1000
  const massG = litres * brineDensity(from, waterC)
  return (massG * (to - from / 1000)) / (usable(salt) - to)
}

/** Litres of fresh water that lower standing brine to a salinity, g/L. The vessel has to have the room for them. */
export function waterToLower(brine: Brine, toGpl: number): number {
  const { litres, salinityGpl, waterC } = checked(brine)
  if (salinityGpl === 0) return 0
  within(VERB, 'toGpl', { above: 0, to: salinityGpl }, toGpl)
  const from = gplToGpkg(salinityGpl, waterC)
  const massG = litres * brineDensity(from, waterC)
  return (massG * (from / gplToGpkg(toGpl, waterC) - 1)) / waterDensity(waterC)
}

/**
 * What evaporation has done: salt stays behind, so brine that went down from `brine.litres` to `nowLitres` has become saltier,
 * and fresh water alone, no salt, brings it back.
 */
export function topUp(brine: Brine, nowLitres: number): { salinityGpl: number; waterL: number } {
  const { litres, salinityGpl, waterC } = checked(brine)
  within(VERB, 'nowLitres', { above: 0, to: litres }, nowLitres)
  const nowGpl = (litres * salinityGpl) / nowLitres
  if (nowGpl > RECIPE_LIMITS.salinityGpl.to)
    throw new RecipeError(
      VERB,
      'nowLitres',
      { from: (litres * salinityGpl) / RECIPE_LIMITS.salinityGpl.to, to: litres },
      nowLitres,
    )
  const massG = (volume: number, gpl: number) => volume * brineDensity(gplToGpkg(gpl, waterC), waterC)
  return {
    salinityGpl: nowGpl,
    waterL: (massG(litres, salinityGpl) - massG(nowLitres, nowGpl)) / waterDensity(waterC),
  }
}

/** Share of what is weighed that is salt. */
function usable({ purity, moisture }: SaltProduct): number {
  within(VERB, 'saltPurity', RECIPE_LIMITS.saltPurity, purity)
  within(VERB, 'saltMoisture', RECIPE_LIMITS.saltMoisture, moisture)
  return purity * (1 - moisture)
}

function checked(brine: Brine): Brine {
  within(VERB, 'litres', RECIPE_LIMITS.litres, brine.litres)
  within(VERB, 'salinityGpl', RECIPE_LIMITS.salinityGpl, brine.salinityGpl)
  within(VERB, 'waterC', RECIPE_LIMITS.waterC, brine.waterC)
  return brine
}
