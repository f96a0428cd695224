import { boundsOf } from './arithmetic.ts'
import { assign } from './assign.ts'
import { atItsBest } from './at-its-best.ts'
import { firstPlan } from './candidates.ts'
import { bestOf, scoreOf } from './choice.ts'
import type { Plan, PlanInput } from './contract.ts'
import { demandsOf } from './demand.ts'
import { feedingsOf } from './feedings.ts'
import { gridOf } from './grid.ts'
import { mealsOf } from './meals.ts'
import { programOf } from './program.ts'
import { risksOf } from './risks.ts'
import { search } from './search.ts'
import type { Solver } from './solver.ts'
import { vesselKinds } from './vessel-kinds.ts'
import { wakefulness } from './wake.ts'
import { eveningWays, waysOf } from './ways.ts'

/** Starts and harvests are looked for at each half hour of the clock. Own choice: nobody pours cysts to the minute. */
export const GRID_MIN = 30
/** Programs of up to so many columns are solved to the end; larger rooms are planned meal by meal and told how good that is. */
export const SOLVED_COLUMNS = 1500
const LIMITS = { seconds: 3, nodes: 2000 }

/** The plan for a room. Only how long it takes depends on the machine. */
export function planFeeding(input: PlanInput, solve: Solver): Plan {
  const { nowMs, untilMs, zone } = input
  const given = new Set(input.given)
  const late = (input.late ?? []).map(feeding => ({ ...feeding, atMs: nowMs }))
  const { rest = {} } = input
  const coming = feedingsOf(input.cohorts, { fromMs: nowMs, untilMs, zone }).map(feeding => ({
    ...feeding,
    nauplii: rest[feeding.id] ?? feeding.nauplii,
  }))
  const feedings = [...late, ...coming].filter(({ id }) => !given.has(id))
  const demands = demandsOf(feedings, input.spare)
  const kinds = vesselKinds(input)
  const awake = wakefulness(input.wake, zone)
  const grid = gridOf({ fromMs: nowMs, untilMs, zone, stepMin: input.gridMin ?? GRID_MIN, awake })
  const all = { input, demands, kinds, grid }
  const few = waysOf({ ...all, thorough: false })
  const first = firstPlan({ ...all, ways: few })
  const bounds = boundsOf(input, demands, few)

  const columns = (ways: typeof few) => ways.reduce((sum, { servings }) => sum + servings.length + 2, 0)
  const many = columns(few) <= SOLVED_COLUMNS ? waysOf({ ...all, thorough: true }) : few
  const ways = columns(many) <= SOLVED_COLUMNS ? many : few
  const known = ways === few ? first : firstPlan({ ...all, ways })
  const solved =
    ways.length > 0 && columns(ways) <= SOLVED_COLUMNS
      ? search(programOf(input, demands, kinds, ways), { bounds, ...known }, solve, { ...LIMITS, gap: 0 })
      : null
  const candidates = [first, known]
  if (solved) candidates.push({ chosen: solved.chosen, score: scoreOf(solved.chosen, demands) })
  const { chosen: found, score } = bestOf(candidates) ?? first
  const chosen = atItsBest(found, [...ways, ...eveningWays({ ...all, thorough: false })], input.gramStep)

  const assigned = assign(input, kinds, chosen)
  const { starts, harvests, shares } = assigned
  const meals = mealsOf(demands, shares, input.spare)
  const leastSteps = Math.max(solved?.leastSteps ?? 0, bounds.leastSteps)
  return {
    starts,
    harvests,
    meals,
    risks: risksOf(input, kinds, ways, meals, assigned, grid),
    grams: Number((score.steps * input.gramStep).toFixed(3)),
    lacking: meals.reduce((sum, { lacking }) => sum + lacking, 0),
    nightStarts: starts.filter(({ nightStart }) => nightStart).length,
    nightHarvests: [
      ...starts.map(({ nightHarvest }) => nightHarvest),
      ...harvests.map(({ night }) => night),
    ].filter(Boolean).length,
    proof: {
      optimal: solved?.optimal === true && ways === many,
      gap: score.steps === 0 ? 0 : Math.max(0, score.steps / Math.max(leastSteps, 1) - 1),
      leastG: Number((leastSteps * input.gramStep).toFixed(3)),
      gridMin: grid.stepMin,
    },
  }
}
