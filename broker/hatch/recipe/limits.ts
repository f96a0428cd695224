import type { Limits } from './errors.ts'
import { MOST_SALT_GPL } from './most-salt.ts'

/**
 * What a recipe can be asked for. Litres, cysts and salinity end where a batch's own fields end; the others where a number is
 * a slip of the pen rather than a wish. What is unwise but possible gets a warning instead.
 */
export const RECIPE_LIMITS = {
  litres: { above: 0, to: 100 },
  salinityGpl: { from: 0, to: MOST_SALT_GPL },
  /** Within it the density of water and brine is known. */
  waterC: { from: 0, to: 40 },
  cystsGpl: { above: 0, to: 50 },
  /** Teaspoons a litre, for who doses by the spoon. */
  cystSpoonsPerL: { above: 0, to: 10 },
  /** Share of the dry product that is salt. */
  saltPurity: { from: 0.5, to: 1 },
  /** Share of the product, as it is weighed, that is water. */
  saltMoisture: { from: 0, to: 0.3 },
  /** Grams in a level tablespoon of salt: from fluffy flakes to the densest grain. */
  saltSpoonG: { from: 5, to: 30 },
  /** Grams in a level teaspoon of cysts. */
  cystSpoonG: { from: 1, to: 6 },
  /** Grams in a level teaspoon of baking soda. */
  sodaSpoonG: { from: 2, to: 8 },
} as const satisfies Record<string, Limits>
