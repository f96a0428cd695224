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

/** All values, or one when they are the same. */
export function distinct(values: readonly number[]): readonly number[] {
  return Math.max(...values) - Math.min(...values) < 1e-9 ? values.slice(0, 1) : values
}
