import { max, median, min, quantile } from 'simple-statistics'

export interface Percentiles {
  readonly count: number
  readonly p50: number
  readonly p99: number
  readonly max: number
}

/** @throws when there is nothing to describe: a figure made of nothing must not pass. */
export function percentiles(values: readonly number[] | Float64Array): Percentiles {
  const list = [...values]
  if (list.length === 0) throw new Error('Cannot describe the measurements: there are none')
  const [p50, p99] = quantile(list, [0.5, 0.99]) as [number, number]
  return { count: list.length, p50, p99, max: max(list) }
}

/** The middle of the repeats with their spread. */
export function middle(values: readonly number[]): { value: number; spread: readonly [number, number] } {
  const list = [...values]
  return { value: median(list), spread: [min(list), max(list)] }
}
