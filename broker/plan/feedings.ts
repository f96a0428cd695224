import { MOULT_FROM_H, MOULT_UNTIL_H } from '../hatch/population/age.ts'
import type { Cohort, Feeding, FoodAge } from './contract.ts'
import { daysBetween, minutesOf, momentAt } from './local-time.ts'

const DAY_MS = 86_400_000

/** The mean nauplius moults in the middle of the hours between which they do. */
const INSTAR_1_UNTIL_H = (MOULT_FROM_H + MOULT_UNTIL_H) / 2

/** How old the mean nauplius may be, h. */
export function ageLimitH(food: FoodAge): number {
  return food.kind === 'instar-1' ? INSTAR_1_UNTIL_H : food.hours
}

/** Nauplii that a fry of an age eats in a day. */
export function rationAt(cohort: Pick<Cohort, 'ration'>, ageDays: number): number {
  let nauplii = 0
  for (const step of cohort.ration) if (ageDays >= step.fromDay) nauplii = step.naupliiPerFry
  return nauplii
}

/** Every meal of the cohorts from one moment to another, in the order of time. */
export function feedingsOf(
  cohorts: readonly Cohort[],
  { fromMs, untilMs, zone }: { fromMs: number; untilMs: number; zone: string },
): Feeding[] {
  const meals: Feeding[] = []
  for (const cohort of cohorts) {
    for (const day of daysBetween(fromMs, untilMs, zone)) {
      for (const time of new Set(cohort.times)) {
        const atMs = momentAt(day, minutesOf(time), zone)
        if (atMs < fromMs || atMs > untilMs || atMs < cohort.bornMs) continue
        if (atMs <= (cohort.enteredMs ?? -Infinity)) continue
        if (cohort.endsMs !== null && atMs >= cohort.endsMs) continue
        const daily = cohort.fry * rationAt(cohort, Math.floor((atMs - cohort.bornMs) / DAY_MS))
        if (daily <= 0) continue
        meals.push({
          id: `${cohort.id}@${new Date(day).toISOString().slice(0, 10)}T${time}`,
          cohortId: cohort.id,
          atMs,
          nauplii: daily / new Set(cohort.times).size,
          limitH: ageLimitH(cohort.food),
        })
      }
    }
  }
  return meals.sort((a, b) => a.atMs - b.atMs || (a.id < b.id ? -1 : a.id > b.id ? 1 : 0))
}
