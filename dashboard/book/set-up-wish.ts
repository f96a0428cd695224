import { RecipeError } from '../../broker/hatch/recipe/errors.ts'
import { MOST_SALT_GPL } from '../../broker/hatch/recipe/most-salt.ts'
import { recipe, type Recipe } from '../../broker/hatch/recipe/recipe.ts'
import { readNumber } from '../forms/form.ts'
import { keptGrams } from '../recipe/own-spoons.ts'
import { type Goal, GOALS } from '../words/goal.ts'
import type { Fields } from './shared-fields.ts'

/** What a set-up asks for, as it is written there. */
export const WISH_WORDS = {
  litres: 'Water, litres',
  salinityGpl: 'Salt, grams per litre',
  cystsG: 'Cysts, grams',
  goal: 'Which food is wanted',
  lot: 'Lot of cysts',
  recipe: 'Your own recipe',
} as const
export type WishField = keyof typeof WISH_WORDS

/** A walk that was begun by an older version says none. */
export const goalOf = ({ goal }: Fields): Goal => GOALS.find(each => each === goal) ?? 'balanced'

export const numbersOf = (wish: Fields) => ({
  litres: readNumber(wish['litres'] ?? ''),
  cystsG: readNumber(wish['cystsG'] ?? ''),
  salinityGpl: readNumber(wish['salinityGpl'] ?? ''),
})

/** The amounts, once all of them are written. */
export function amountsOf(wish: Fields) {
  const { litres, cystsG, salinityGpl } = numbersOf(wish)
  if (!litres || !cystsG || salinityGpl === null) return null
  return { litres, cystsG, salinityGpl, goal: goalOf(wish) }
}

/** What goes in for it, with the person's own spoons; `null` for what no recipe can be made of. */
export function recipeOf(wish: Fields): Recipe | null {
  const amounts = amountsOf(wish)
  if (!amounts) return null
  const { litres, cystsG, salinityGpl } = amounts
  const own = (field: 'saltSpoonG' | 'cystSpoonG') => {
    const grams = keptGrams(field)
    return grams === null ? {} : { [field]: grams }
  }
  try {
    return recipe({
      litres,
      salinityGpl,
      cystsGpl: cystsG / litres,
      ...own('saltSpoonG'),
      ...own('cystSpoonG'),
    })
  } catch (error) {
    if (error instanceof RecipeError) return null
    throw error
  }
}

/** What is wrong with the amounts, by field. */
export function wrongIn(wish: Fields): ReadonlyMap<string, string> {
  const { litres, cystsG, salinityGpl } = numbersOf(wish)
  const wrong = new Map<string, string>()
  if (!litres || litres <= 0) wrong.set('litres', 'Write the litres as a number above 0.')
  if (!cystsG || cystsG <= 0) wrong.set('cystsG', 'Write the grams as a number above 0.')
  if (salinityGpl === null || salinityGpl < 0) wrong.set('salinityGpl', 'Write the salt as a number.')
  else if (salinityGpl > MOST_SALT_GPL)
    wrong.set('salinityGpl', `Up to ${MOST_SALT_GPL} g/L are taken, and 20 to 35 g/L hatch alike.`)
  return wrong
}
