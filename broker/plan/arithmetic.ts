import type { PlanInput } from './contract.ts'
import type { Demand } from './demand.ts'
import type { Way } from './ways.ts'

/** What no plan can better, from the amounts alone. */
export interface Bounds {
  /** Of each demand, nauplii that nothing can serve in time. */
  readonly unserved: readonly number[]
  /** Steps of grams that the rest takes at the least: all of it fresh, from the lots that give most. */
  readonly leastSteps: number
}

export function boundsOf(input: PlanInput, demands: readonly Demand[], ways: readonly Way[]): Bounds {
  const served = demands.map(() => false)
  const free = demands.map(() => false)
  for (const { source, servings } of ways) {
    for (const { demandAt } of servings) {
      served[demandAt] = true
      if (source.kind !== 'planned') free[demandAt] = true
    }
  }
  const unserved = demands.map(({ nauplii }, at) => (served[at] === true ? 0 : nauplii))
  let need = demands.reduce((sum, { nauplii }, at) => sum + (served[at] === true ? nauplii : 0), 0)
  // Whatever is there already may meet as much as it holds, and no more than what it can reach.
  const held = new Map(
    ways.flatMap(({ source }) =>
      source.kind === 'running'
        ? [[source.batch.id, source.batch.nauplii] as const]
        : source.kind === 'held'
          ? [[source.held.id, source.held.nauplii] as const]
          : [],
    ),
  )
  const reachable = demands.reduce((sum, { nauplii }, at) => sum + (free[at] === true ? nauplii : 0), 0)
  const holding = [...held.values()].reduce((sum, nauplii) => sum + nauplii, 0)
  need -= Math.min(reachable, holding * 1.0)

  const yields = new Map<string, number>()
  for (const { lotId, naupliiPerG } of input.outlooks)
    yields.set(lotId, Math.max(yields.get(lotId) ?? 0, naupliiPerG))
  let grams = 0
  for (const [lotId, perG] of [...yields].sort((a, b) => b[1] - a[1])) {
    const left = input.lots.find(({ id }) => id === lotId)?.gramsLeft ?? Infinity
    const taken = Math.min(Math.max(need, 0) / perG, left)
    grams += taken
    need -= taken * perG
  }
  return { unserved, leastSteps: Math.ceil(grams / input.gramStep - 1e-6) }
}
