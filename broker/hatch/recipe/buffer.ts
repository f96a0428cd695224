import { within } from './errors.ts'
import { RECIPE_LIMITS } from './limits.ts'

/** What keeps the pH up: must stay above 8. */
export const Buffer = {
  bakingSoda: 'baking-soda',
  magnesiumSulphate: 'magnesium-sulphate',
  none: 'none',
} as const
export type Buffer = (typeof Buffer)[keyof typeof Buffer]

/** The tap's water. */
export const WaterKind = { unknown: 'unknown', soft: 'soft', hard: 'hard' } as const
export type WaterKind = (typeof WaterKind)[keyof typeof WaterKind]

/**
 * Baking soda, g per litre. The trade's quarter of a teaspoon a litre is 1.15 g (common practice, no source); the handbooks have up to
 * 1 g/L (freshwater-prawn farming handbook after Lavens & Sorgeloos 1996, FAO 361, and New 2002, FAO 428, Annex 4).
 */
export const BAKING_SODA_GPL = 1

/** Grams of baking soda for some litres. */
export function bakingSodaG(litres: number): number {
  return within('weigh buffer', 'litres', RECIPE_LIMITS.litres, litres) * BAKING_SODA_GPL
}

/** What is to be said of a choice of buffer, and of the water that it goes into. */
export function bufferWords(buffer: Buffer, water: WaterKind): string {
  if (buffer === Buffer.magnesiumSulphate)
    return 'Some add magnesium sulphate. It is no buffer: it makes water harder and does not hold the pH. Measure the pH, which must stay above 8.'
  if (buffer === Buffer.none) return 'Nothing holds the pH now, and it must stay above 8: measure it.'
  if (water === WaterKind.soft)
    return 'Soft water has nothing of its own to hold the pH with: do not leave this out.'
  if (water === WaterKind.hard)
    return 'Hard water may hold its pH by itself. Measure first; with pH 8.0 to 8.5 you may need less. No source gives a figure.'
  return 'Aim at pH 8.0 to 8.5. Hard water may need less; no source gives a figure.'
}
