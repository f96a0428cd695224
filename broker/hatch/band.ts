import type { Band } from './contract.ts'

/** The 10th, 50th and 90th percentile of equally likely values, by interpolation between their middles. */
export function bandOf(values: readonly number[] | Float64Array): Band {
  const sorted = Float64Array.from(values).sort()
  return { p10: quantileOf(sorted, 0.1), p50: quantileOf(sorted, 0.5), p90: quantileOf(sorted, 0.9) }
}

/** A quantile of equally likely values that are in rising order. */
export function quantileOf(sorted: Float64Array, share: number): number {
  const place = Math.min(Math.max(share * sorted.length - 0.5, 0), sorted.length - 1)
  const below = sorted[Math.floor(place)] ?? 0
  const above = sorted[Math.ceil(place)] ?? below
  return below + (above - below) * (place - Math.floor(place))
}

/** Developments that lie closer together than this are one, °C·h: less than half a minute at 27 °C. */
const ALIKE_DEG_H = 0.1

/** All developments, or their middle one where they are as good as the same. */
export function distinct(degH: readonly number[]): readonly number[] {
  if (Math.max(...degH) - Math.min(...degH) > ALIKE_DEG_H) return degH
  const middle = degH[degH.length >> 1]
  return middle === undefined ? [] : [middle]
}
