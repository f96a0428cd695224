/** Buckets of a curve, oldest first: when each begins (Unix ms), its least, greatest and mean value. */
export interface CurveColumns {
  readonly t: number[]
  readonly min: number[]
  readonly max: number[]
  readonly mean: number[]
  /** How many readings the newest bucket's mean is of. */
  newest: number
}

export const emptyColumns = (): CurveColumns => ({ t: [], min: [], max: [], mean: [], newest: 0 })

/** Columns as the broker sends them, made ready to grow. */
export function growing(columns: {
  readonly t: readonly number[]
  readonly min: readonly number[]
  readonly max: readonly number[]
  readonly mean: readonly number[]
}): CurveColumns {
  const { t, min, max, mean } = columns
  return { t: [...t], min: [...min], max: [...max], mean: [...mean], newest: 1 }
}

/**
 * Adds a live reading: into the newest bucket while that lasts, else as a new one, so that an evening of readings does not
 * grow without end. What is not newer than the newest bucket's start is passed over: it comes with the next fetch.
 */
export function append(columns: CurveColumns, atMs: number, value: number, bucketMs: number): void {
  const last = columns.t.length - 1
  const start = columns.t[last]
  if (start !== undefined && atMs <= start) return
  if (start !== undefined && atMs < start + bucketMs) {
    columns.min[last] = Math.min(columns.min[last] ?? value, value)
    columns.max[last] = Math.max(columns.max[last] ?? value, value)
    const mean = columns.mean[last] ?? value
    columns.newest++
    columns.mean[last] = mean + (value - mean) / columns.newest
    return
  }
  columns.t.push(atMs)
  columns.min.push(value)
  columns.max.push(value)
  columns.mean.push(value)
  columns.newest = 1
}

/** Forgets buckets that begin before a moment, but for one, so that the line still enters from the left. */
export function trim(columns: CurveColumns, fromMs: number): void {
  let count = 0
  while (count + 1 < columns.t.length && (columns.t[count + 1] ?? 0) < fromMs) count++
  if (count === 0) return
  for (const column of [columns.t, columns.min, columns.max, columns.mean]) column.splice(0, count)
}

/** The shortest silence that is drawn as a gap, ms: well beyond the usual step of these readings and of their buckets. */
export function gapMs(t: readonly number[], bucketMs: number): number {
  const steps: number[] = []
  for (let index = Math.max(1, t.length - 400); index < t.length; index++)
    steps.push((t[index] ?? 0) - (t[index - 1] ?? 0))
  steps.sort((a, b) => a - b)
  const usual = steps[steps.length >> 1] ?? bucketMs
  return Math.max(3.5 * usual, 2.5 * bucketMs, 10_000)
}

/** Seconds, then mean, least and greatest: as the plot takes them. */
export type PlotData = [x: number[], mean: (number | null)[], min: (number | null)[], max: (number | null)[]]

/** The columns for the plot, with a `null` in each gap: only that breaks a line. `convert` changes the unit. */
export function plotData(columns: CurveColumns, gap: number, convert: (value: number) => number): PlotData {
  const data: PlotData = [[], [], [], []]
  let before: number | undefined
  columns.t.forEach((at, index) => {
    if (before !== undefined && at - before > gap) {
      data[0].push((before + at) / 2000)
      data[1].push(null)
      data[2].push(null)
      data[3].push(null)
    }
    before = at
    data[0].push(at / 1000)
    data[1].push(convert(columns.mean[index] ?? 0))
    data[2].push(convert(columns.min[index] ?? 0))
    data[3].push(convert(columns.max[index] ?? 0))
  })
  return data
}

/** What a curve says without being looked at; `null` when there is nothing within the span. */
export interface CurveSummary {
  readonly least: number
  readonly greatest: number
  readonly mean: number
}

export function summarise(columns: CurveColumns, fromMs: number, toMs: number): CurveSummary | null {
  let least = Infinity
  let greatest = -Infinity
  let sum = 0
  let count = 0
  columns.t.forEach((at, index) => {
    if (at < fromMs || at > toMs) return
    least = Math.min(least, columns.min[index] ?? Infinity)
    greatest = Math.max(greatest, columns.max[index] ?? -Infinity)
    sum += columns.mean[index] ?? 0
    count++
  })
  return count === 0 ? null : { least, greatest, mean: sum / count }
}
