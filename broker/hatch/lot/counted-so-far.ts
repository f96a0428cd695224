import type { BatchEvidence } from './evidence.ts'
import { harvestsOf } from './harvests.ts'

/** What was counted of a lot, as it was counted: no model in it. What is learnt from it is the lot's summary. */
export interface CountedSoFar {
  /** Batches with a count. */
  readonly batches: number
  /** Out of each gram of dry cysts: the mean over the batches, and the least and the most of them. */
  readonly naupliiPerG: { readonly mean: number; readonly least: number; readonly most: number }
  /** Mean share of the cysts that hatched, 0 to 1, over the batches whose unhatched cysts were counted too; `null` without one. */
  readonly hatchShare: number | null
}

export function countedSoFar(history: readonly BatchEvidence[]): CountedSoFar | null {
  const harvests = harvestsOf(history)
  if (harvests.length === 0) return null
  const perG = harvests.map(({ naupliiPerG }) => naupliiPerG.value)
  const shares = harvests.flatMap(({ hatchPercentage }) =>
    hatchPercentage === null ? [] : hatchPercentage.value / 100,
  )
  return {
    batches: perG.length,
    naupliiPerG: { mean: mean(perG), least: Math.min(...perG), most: Math.max(...perG) },
    hatchShare: shares.length === 0 ? null : mean(shares),
  }
}

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length
