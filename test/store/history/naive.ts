import { bucketWidth } from '../../../broker/store/history/down-sampler.ts'
import type { Columns, Sample } from '../../../broker/store/contract.ts'

/** Down-samples by gathering every bucket's values whole: slow and plain, to hold the real one against. */
export function naive(samples: readonly Sample[], fromMs: number, toMs: number, points: number): Columns {
  const good = samples
    .filter(
      ({ atMs, value, quality }) =>
        quality === 'good' && Number.isFinite(value) && atMs >= fromMs && atMs < toMs,
    )
    .map(({ atMs, value }) => ({ atMs, value: value! }))
    .sort((a, b) => a.atMs - b.atMs)
  const width = bucketWidth(toMs - fromMs, points)
  const groups = new Map<number, typeof good>()
  good.forEach((sample, i) => {
    const key = good.length <= points ? i : width === Infinity ? 0 : Math.floor(sample.atMs / width)
    groups.set(key, [...(groups.get(key) ?? []), sample])
  })
  const buckets = [...groups.values()].map(group => {
    const values = group.map(({ value }) => value)
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length
    return { t: group[0]!.atMs, min: Math.min(...values), max: Math.max(...values), mean }
  })
  return {
    t: buckets.map(({ t }) => t),
    min: buckets.map(({ min }) => min),
    max: buckets.map(({ max }) => max),
    mean: buckets.map(({ mean }) => mean),
  }
}

/** A mean is a sum in some order: only its last digits may differ. */
export function sameColumns(a: Columns, b: Columns): boolean {
  const equal = (x: readonly number[], y: readonly number[]) =>
    x.length === y.length && x.every((one, i) => one === y[i])
  return (
    equal(a.t, b.t) &&
    equal(a.min, b.min) &&
    equal(a.max, b.max) &&
    a.mean.length === b.mean.length &&
    a.mean.every((mean, i) => Math.abs(mean - b.mean[i]!) <= 1e-9 * Math.max(1, Math.abs(mean)))
  )
}
