import type { Bounds } from './arithmetic.ts'
import { type Chosen, CYSTS_FOR_REST, HARDLY, type Score } from './choice.ts'
import type { Program } from './program.ts'
import type { Solved, SolveLimits, Solver } from './solver.ts'

export interface Found {
  readonly chosen: readonly Chosen[]
  /** Nothing better by any of the aims is to be had from these ways. */
  readonly optimal: boolean
  /** Steps that no plan of these ways that meets as much goes below. */
  readonly leastSteps: number
}

/**
 * One aim after the other, each held while the next is sought: that least is lacking, that least hangs on a batch that may be
 * late, fewest cysts; then, for a hair more cysts, fewest nights and after them fewest batches. What is known already, from a plan
 * that is there and from what cannot be bettered, is not sought again.
 */
export function search(
  program: Program,
  known: { readonly bounds: Bounds; readonly chosen: readonly Chosen[]; readonly score: Score },
  solve: Solver,
  limits: SolveLimits,
): Found | null {
  const { milp, ways, times, steps, amounts, lacking, unit } = program
  const { bounds, score } = known
  const tight = ways.flatMap((way, at) =>
    way.servings.flatMap((serving, i) => (serving.tight ? [amounts[at]?.[i] ?? 0] : [])),
  )
  const dosed = steps.filter(column => column >= 0)
  const one = (columns: readonly number[]) => columns.map(column => [column, 1] as const)
  let optimal = true
  let best: Solved | null = null
  let start: Float64Array | undefined = startFrom(program, known.chosen)
  const aim = (weights: readonly (readonly [number, number])[], gap: number): Solved | null => {
    milp.cost.fill(0)
    for (const [column, weight] of weights) milp.cost[column] = (milp.cost[column] ?? 0) + weight
    const solved = solve(milp, { ...limits, gap }, start)
    optimal &&= solved?.optimal === true
    if (solved) {
      best = solved
      start = solved.values
    }
    return solved
  }
  /** No more of these than there is at the least. */
  const hold = (columns: readonly number[], most: number): void => {
    milp.row(-Infinity, most + HARDLY / 10 / unit, one(columns))
  }

  const unserved = bounds.unserved.reduce((sum, nauplii) => sum + nauplii, 0)
  if (score.lacking <= unserved + HARDLY) {
    for (const [at, column] of lacking.entries())
      milp.upper[column] =
        (bounds.unserved[at] ?? 0) > 0 ? (milp.upper[column] ?? 0) : HARDLY / 10 / unit / lacking.length
  } else {
    const least = aim(one(lacking), HARDLY / 10 / unit / 2)
    if (!least) return null
    hold(lacking, least.cost)
  }
  const metAlready = score.lacking <= unserved + HARDLY
  if (tight.length > 0 && metAlready && score.tight <= HARDLY) {
    for (const column of tight) milp.upper[column] = 0
  } else if (tight.length > 0) {
    const safest = aim(one(tight), HARDLY / 10 / unit / 2)
    if (!safest) return found()
    hold(tight, safest.cost)
  }
  const thrifty = aim(one(dosed), 0.999)
  if (!thrifty) return found()
  const leastSteps = Math.max(0, Math.ceil(thrifty.bound - 1e-6))
  const most = Math.max(Math.round(thrifty.cost), Math.floor(leastSteps * (1 + CYSTS_FOR_REST)))
  milp.row(-Infinity, most + 0.01, one(dosed))
  const rest = ways.map(({ source, nightStart, nightHarvest }, at) => {
    const nights = Number(nightStart) + Number(nightHarvest)
    return [times[at] ?? 0, 100 * nights + (source.kind === 'planned' ? 1 : 0)] as const
  })
  aim([...rest, ...dosed.map(column => [column, 0.9 / (most + 1)] as const)], 0.5 / (most + 1))
  return found(leastSteps)

  function found(leastSteps = bounds.leastSteps): Found | null {
    return best ? { chosen: chosenFrom(program, best.values), optimal, leastSteps } : null
  }
}

/** A plan as values of the program's columns, for the solver to better. */
function startFrom({ milp, ways, times, steps, amounts, lacking, unit }: Program, chosen: readonly Chosen[]) {
  const values = new Float64Array(milp.cost.length)
  for (const column of lacking) values[column] = milp.upper[column] ?? 0
  for (const { way, times: gone, steps: dosed, amounts: taken } of chosen) {
    const at = ways.indexOf(way)
    if (at < 0) return undefined
    const add = (column: number | undefined, value: number) => {
      if (column !== undefined && column >= 0) values[column] = (values[column] ?? 0) + value
    }
    add(times[at], gone)
    add(steps[at], dosed)
    for (const [i, nauplii] of taken.entries()) {
      add(amounts[at]?.[i], nauplii / unit)
      const serving = way.servings[i]
      const lacks = serving && lacking[serving.demandAt]
      if (serving && lacks !== undefined)
        values[lacks] = Math.max(0, (values[lacks] ?? 0) - (nauplii * serving.alive) / unit)
    }
  }
  return values
}

function chosenFrom({ ways, times, steps, amounts, unit }: Program, values: Float64Array): Chosen[] {
  const whole = (column: number | undefined) =>
    column === undefined || column < 0 ? 0 : Math.round(values[column] ?? 0)
  return ways.flatMap((way, at) => {
    const gone = whole(times[at])
    if (gone === 0) return []
    const taken = (amounts[at] ?? []).map(column => Math.max(0, (values[column] ?? 0) * unit))
    return [{ way, times: gone, steps: whole(steps[at]), amounts: taken }]
  })
}
