import type { Cohort, Feeding } from './contract.ts'
import { feedingsOf } from './feedings.ts'

const DAY_MS = 86_400_000

/**
 * Of feedings whose time has passed those that can still be given: the last of each group of fry, up to half-way to its next one. Later
 * than that it would come on top of the next; what it would have eaten is then planned for others. Half-way is an own choice.
 */
export function stillToFeed(
  passed: readonly Feeding[],
  cohorts: readonly Cohort[],
  { nowMs, zone }: { readonly nowMs: number; readonly zone: string },
): Feeding[] {
  // Two days: a clock that is set may make a day longer than a day.
  const coming = feedingsOf(cohorts, { fromMs: nowMs, untilMs: nowMs + 2 * DAY_MS, zone })
  const last = new Map(passed.filter(({ atMs }) => atMs <= nowMs).map(each => [each.cohortId, each]))
  return [...last.values()].filter(({ cohortId, atMs }) => {
    const next = coming.find(each => each.cohortId === cohortId && each.atMs > atMs)
    return next === undefined ? nowMs - atMs < DAY_MS / 2 : nowMs < (atMs + next.atMs) / 2
  })
}
