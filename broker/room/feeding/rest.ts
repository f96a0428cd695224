import type { Feeding as Meal } from '../../plan/contract.ts'
import type { GivenFeeding } from './contract.ts'

type Ticked = Pick<GivenFeeding, 'mealId' | 'nauplii' | 'withdrawnAtMs' | 'more'>

const of = (mealId: string, given: readonly Ticked[]): readonly Ticked[] =>
  given.filter(each => each.mealId === mealId && each.withdrawnAtMs === null)

/** Nothing of it is still to be given: somebody ticked it off, not as a part of it, or the parts are all of it. */
export function isDone(meal: Pick<Meal, 'id' | 'nauplii'>, given: readonly Ticked[]): boolean {
  const own = of(meal.id, given)
  return own.some(({ more }) => more !== true) || (own.length > 0 && restOf(meal, given) < 1)
}

/** What of a feeding is still to be given after the parts of it that were, nauplii. */
export function restOf({ id, nauplii }: Pick<Meal, 'id' | 'nauplii'>, given: readonly Ticked[]): number {
  return of(id, given).reduce((rest, each) => Math.max(0, rest - (each.nauplii ?? 0)), nauplii)
}
