import { bestOf, HARDLY, type Chosen, type Score, scoreOf } from './choice.ts'
import type { PlanInput } from './contract.ts'
import type { Demand } from './demand.ts'
import { greedy, type Taste } from './greedy.ts'
import type { VesselKind } from './vessel-kinds.ts'
import type { Way } from './ways.ts'

export interface Candidate {
  readonly chosen: readonly Chosen[]
  readonly score: Score
}

const BATCHES = [0, 0.02, 0.05, 0.1, 0.25, 0.7, 2] as const
const NIGHT = 5

/** The best of several plans that were made meal by meal with different tastes. */
export function firstPlan(parts: {
  input: PlanInput
  demands: readonly Demand[]
  kinds: readonly VesselKind[]
  ways: readonly Way[]
}): Candidate {
  const tried = (taste: Taste): Candidate => {
    const chosen = greedy(parts, taste)
    return { chosen, score: scoreOf(chosen, parts.demands) }
  }
  const sure = BATCHES.map(batch => tried({ batch, night: NIGHT, tight: false }))
  // Hanging on a batch that may be late is worth trying only where something is lacking that could be served.
  const served = new Set(parts.ways.flatMap(({ servings }) => servings.map(({ demandAt }) => demandAt)))
  const unserved = parts.demands.reduce((sum, { nauplii }, at) => sum + (served.has(at) ? 0 : nauplii), 0)
  const lacking = Math.min(...sure.map(({ score }) => score.lacking))
  const tight =
    lacking > unserved + HARDLY ? BATCHES.map(batch => tried({ batch, night: NIGHT, tight: true })) : []
  return bestOf([...sure, ...tight]) ?? tried({ batch: 1, night: NIGHT, tight: true })
}
