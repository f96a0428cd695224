import type { Highs, InitOptions } from 'highs'
import * as library from 'highs'
import type { Milp } from './milp.ts'

/** A solved program, or what came nearest within the limits. */
export interface Solved {
  readonly values: Float64Array
  readonly cost: number
  /** No solution costs less than this. */
  readonly bound: number
  readonly optimal: boolean
}

export interface SolveLimits {
  /** Ends the search whatever is found, s. On a fast enough machine the nodes end it first, so that it comes out the same. */
  readonly seconds: number
  readonly nodes: number
  /** A solution this near to the best is good enough, in cost. */
  readonly gap: number
  /** The same as a share of the cost. */
  readonly relativeGap?: number
}

export type Solver = (milp: Milp, limits: SolveLimits, from?: Float64Array) => Solved | null

// Its types are those of its CommonJS twin, in which the loader would lie one level deeper.
const loadHighs = library.default as unknown as (options?: InitOptions) => Promise<Highs>

let loading: Promise<Highs> | null = null

/** The kept solver, compiled once. */
export async function openSolver(): Promise<Solver> {
  const highs = await (loading ??= loadHighs())
  return (milp, limits, from) => solveWith(highs, milp, limits, from)
}

function solveWith(highs: Highs, milp: Milp, limits: SolveLimits, from?: Float64Array): Solved | null {
  const finite = (value: number) =>
    value === Infinity ? highs.infinity : value === -Infinity ? -highs.infinity : value
  const numCols = milp.cost.length
  const numRows = milp.rowLower.length
  const model = highs.createModel({
    numCols,
    numRows,
    colCost: Float64Array.from(milp.cost),
    colLower: Float64Array.from(milp.lower, finite),
    colUpper: Float64Array.from(milp.upper, finite),
    rowLower: Float64Array.from(milp.rowLower, finite),
    rowUpper: Float64Array.from(milp.rowUpper, finite),
    matrix: {
      format: 'csr',
      numCols,
      numRows,
      starts: Int32Array.from(milp.starts),
      indices: Int32Array.from(milp.indices),
      values: Float64Array.from(milp.values),
    },
    integrality: Int32Array.from(milp.whole, whole => (whole ? 1 : 0)),
  })
  try {
    model.options.set({
      output_flag: false,
      random_seed: 1,
      time_limit: limits.seconds,
      mip_max_nodes: limits.nodes,
      mip_abs_gap: limits.gap,
      mip_rel_gap: limits.relativeGap ?? 0,
    })
    if (from) model.setSolution({ colValue: from })
    model.run()
    const status = model.getModelStatus()
    const { modelStatus } = highs.constants
    if (status === modelStatus.infeasible) return null
    if (Number(model.info.get('primal_solution_status')) !== 2) return null
    return {
      values: Float64Array.from(model.getSolution().colValue),
      cost: model.getObjectiveValue(),
      bound: Number(model.info.get('mip_dual_bound')),
      optimal: status === modelStatus.optimal,
    }
  } finally {
    model.dispose()
  }
}
