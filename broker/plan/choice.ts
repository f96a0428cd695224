import type { Demand } from './demand.ts'
import type { Way } from './ways.ts'

/** A way that is gone, and what is taken from it. */
export interface Chosen {
  readonly way: Way
  /** In how many vessels alike. */
  readonly times: number
  /** Steps of grams, together. */
  readonly steps: number
  /** Nauplii taken for each of the way's servings, before any die. */
  readonly amounts: readonly number[]
}

export interface Score {
  /** Nauplii. */
  readonly lacking: number
  readonly tight: number
  readonly steps: number
  readonly nights: number
  readonly batches: number
}

export function scoreOf(chosen: readonly Chosen[], demands: readonly Demand[]): Score {
  const met = demands.map(() => 0)
  let tight = 0
  let steps = 0
  let nights = 0
  let batches = 0
  for (const { way, times, steps: own, amounts } of chosen) {
    for (const [i, serving] of way.servings.entries()) {
      const taken = amounts[i] ?? 0
      met[serving.demandAt] = (met[serving.demandAt] ?? 0) + taken * serving.alive
      if (serving.tight) tight += taken
    }
    steps += own
    nights += times * (Number(way.nightStart) + Number(way.nightHarvest))
    if (way.source.kind === 'planned') batches += times
  }
  const lacking = demands.reduce((sum, { nauplii }, at) => sum + Math.max(0, nauplii - (met[at] ?? 0)), 0)
  return { lacking, tight, steps, nights, batches }
}

/** So many more cysts than the least are worth fewer nights and fewer batches. Own choice. */
export const CYSTS_FOR_REST = 0.015
/** Nauplii that are as good as none: the solver is right to a millionth of what a gram gives, in each of its rows. */
export const HARDLY = 5

/** The best of several by the plan's aims; the first of those that are as good. */
export function bestOf<T extends { readonly score: Score }>(several: readonly T[]): T | undefined {
  const least = (from: readonly T[], of: (score: Score) => number, slack: (least: number) => number): T[] => {
    const most = slack(Math.min(...from.map(({ score }) => of(score))))
    return from.filter(({ score }) => of(score) <= most)
  }
  let left = least(
    several,
    score => score.lacking,
    lacking => lacking + HARDLY,
  )
  left = least(
    left,
    score => score.tight,
    tight => tight + HARDLY,
  )
  left = least(
    left,
    score => score.steps,
    steps => Math.floor(steps * (1 + CYSTS_FOR_REST)),
  )
  left = least(
    left,
    score => score.nights * 1e6 + score.batches * 1e3 + score.steps / 1e3,
    cost => cost,
  )
  return left[0]
}
