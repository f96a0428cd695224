import { RECIPE_LIMITS } from '../../broker/hatch/recipe/limits.ts'
import { readNumber } from '../forms/form.ts'
import { keepTyped, lastTyped } from '../state/preferences.ts'

/** What this screen remembers of the person's own kitchen: weighed spoons, their salt, and what stands in their hydrometer. */
const KEPT = ['saltSpoonG', 'cystSpoonG', 'sodaSpoonG', 'purity', 'moisture'] as const
export type KeptField = (typeof KEPT)[number]

export const isKept = (field: string): field is KeptField => (KEPT as readonly string[]).includes(field)

export const keptText = (field: KeptField): string => lastTyped(field) ?? ''
export const keepText = (field: KeptField, text: string): void => keepTyped(field, text)

export const keptBasis = (): string => lastTyped('hydrometer-basis') ?? ''
export const keepBasis = (basis: string): void => keepTyped('hydrometer-basis', basis)

export type SaltKind = 'sea' | 'plain'
export const keptSalt = (): SaltKind => (lastTyped('salt-kind') === 'plain' ? 'plain' : 'sea')
export const keepSalt = (kind: SaltKind): void => keepTyped('salt-kind', kind)

/** An own spoon's grams; `null` while it was not weighed, or what was typed is no weight of such a spoon. */
export function keptGrams(field: 'saltSpoonG' | 'cystSpoonG'): number | null {
  const grams = readNumber(keptText(field))
  const { from, to } = RECIPE_LIMITS[field]
  return grams !== null && grams >= from && grams <= to ? grams : null
}
