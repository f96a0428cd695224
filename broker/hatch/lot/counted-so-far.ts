import type { BatchEvidence, NaupliiCounted } from './evidence.ts'

/** What was counted of a lot, as it was counted: no model in it. What is learnt from it is the lot's summary. */
export interface CountedSoFar {
  /** Batches with a count. */
  readonly batches: number
  /** Out of each gram of dry cysts: the mean over the batches, and the least and the most of them. */
  readonly naupliiPerG: { readonly mean: number; readonly least: number; readonly most: number }
  /** Mean share of the cysts that hatched, 0 to 1, over the batches whose unhatched cysts were counted too; `null` without one. */
  readonly hatchShare: number | null
}

/** Of each batch the newest count at its harvest, else its newest one; `null` where nothing was counted. */
export function countedSoFar(history: readonly BatchEvidence[]): CountedSoFar | null {
  const perG: number[] = []
  const shares: number[] = []
  for (const { items, litres, cystsG } of history) {
    const counts = items.filter((item): item is NaupliiCounted => item.kind === 'count' && item.sampledMl > 0)
    const count = counts.findLast(({ harvest }) => harvest) ?? counts.at(-1)
    if (!count || !(cystsG > 0)) continue
    perG.push((count.nauplii * 1000 * litres) / count.sampledMl / cystsG)
    // The share is counted in the stirred vessel, often before what is drawn off is counted.
    const whole = counts.filter(({ harvest }) => harvest === count.harvest).findLast(isWhole)
    if (whole) shares.push(whole.nauplii / allOf(whole))
  }
  if (perG.length === 0) return null
  return {
    batches: perG.length,
    naupliiPerG: { mean: mean(perG), least: Math.min(...perG), most: Math.max(...perG) },
    hatchShare: shares.length === 0 ? null : mean(shares),
  }
}

const allOf = ({ nauplii, umbrella, embryos }: NaupliiCounted): number =>
  nauplii + (umbrella ?? 0) + (embryos ?? 0)
const isWhole = (count: NaupliiCounted): boolean => count.embryos !== null && allOf(count) > 0

const mean = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / values.length
