import type { Band } from '../contract.ts'
import { Z90 } from '../normal.ts'

/** Middles of five equal parts of a normal distribution, in standard deviations. */
export const FIFTHS = [-Z90, -0.5244005127080407, 0, 0.5244005127080407, Z90] as const

/** The 10th, 50th and 90th percentile of weighted values, by interpolation between their middles. */
export function weightedBand(values: readonly { readonly value: number; readonly weight: number }[]): Band {
  const sorted = [...values].sort((a, b) => a.value - b.value)
  const total = sorted.reduce((sum, { weight }) => sum + weight, 0)
  const at = (share: number) => {
    let below = 0
    let before: { value: number; place: number } | null = null
    for (const { value, weight } of sorted) {
      const place = (below + weight / 2) / total
      if (place >= share) {
        if (before === null || place <= before.place || value === Infinity) return value
        return before.value + ((value - before.value) * (share - before.place)) / (place - before.place)
      }
      before = { value, place }
      below += weight
    }
    return before?.value ?? NaN
  }
  return { p10: at(0.1), p50: at(0.5), p90: at(0.9) }
}
