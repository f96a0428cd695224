import { correct, type Correction } from '../../hatch/calibration/correct.ts'
import type { Columnar } from '../codec/columns.ts'
import { GOOD_MARK } from '../codec/mark.ts'
import type { Columns } from '../contract.ts'

/** Leading digits of a bucket's width in ms: few, so that the width stays as the asked span grows with the time of day. */
const WIDTH_STEPS = [1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8]

/**
 * Least width from a fixed ladder, in ms, of which so many buckets cover any window of this span, wherever it begins. It
 * depends on nothing else, and buckets start at multiples of it from 1970: a chart that is scrolled, or drawn again a
 * minute later, gets the same buckets again.
 */
export function bucketWidth(spanMs: number, points: number): number {
  if (points < 2) return Infinity
  const least = spanMs / (points - 1)
  if (least <= 1) return 1
  let power = 10 ** Math.floor(Math.log10(least))
  for (;;) {
    for (const step of WIDTH_STEPS) {
      const width = step * power
      if (width >= least && Number.isInteger(width)) return width
    }
    power *= 10
  }
}

/**
 * Takes samples in any order, keeps per bucket the good ones' first time, least, greatest and mean; as long as there are no
 * more good samples than points, each stays a bucket of its own.
 */
export class DownSampler {
  readonly #points: number
  readonly #width: number
  readonly #first: number
  readonly #t: Float64Array
  readonly #min: Float64Array
  readonly #max: Float64Array
  readonly #sum: Float64Array
  readonly #count: Uint32Array
  /** Every good sample, until there are too many. */
  #each: { at: number; value: number }[] | null = []

  /** `toMs` is exclusive. */
  constructor(fromMs: number, toMs: number, points: number) {
    this.#points = points
    this.#width = bucketWidth(toMs - fromMs, points)
    this.#first = this.#indexOf(fromMs)
    const buckets = Math.max(0, this.#indexOf(toMs - 1) - this.#first + 1)
    this.#t = new Float64Array(buckets).fill(Infinity)
    this.#min = new Float64Array(buckets).fill(Infinity)
    this.#max = new Float64Array(buckets).fill(-Infinity)
    this.#sum = new Float64Array(buckets)
    this.#count = new Uint32Array(buckets)
  }

  /** Adds the good samples from `fromMs` until before `toMs`, each set right. */
  add({ at, value, mark }: Columnar, correction: Correction, fromMs: number, toMs: number): void {
    let bucket = 0
    // Samples mostly follow each other, so a division for each is saved.
    let bucketFrom = Infinity
    let bucketTo = -Infinity
    for (let i = 0; i < at.length; i++) {
      const time = at[i]!
      if (mark[i] !== GOOD_MARK || time < fromMs || time >= toMs) continue
      const sum = correct(value[i]!, correction)
      if (!Number.isFinite(sum)) continue
      if (time < bucketFrom || time >= bucketTo) {
        bucket = this.#indexOf(time) - this.#first
        bucketFrom = this.#width === Infinity ? -Infinity : (bucket + this.#first) * this.#width
        bucketTo = bucketFrom === -Infinity ? Infinity : bucketFrom + this.#width
      }
      if (time < this.#t[bucket]!) this.#t[bucket] = time
      if (sum < this.#min[bucket]!) this.#min[bucket] = sum
      if (sum > this.#max[bucket]!) this.#max[bucket] = sum
      this.#sum[bucket]! += sum
      this.#count[bucket]!++
      if (this.#each !== null && this.#each.push({ at: time, value: sum }) > this.#points) this.#each = null
    }
  }

  columns(): Columns {
    if (this.#each !== null) {
      const each = this.#each.sort((a, b) => a.at - b.at)
      const value = each.map(one => one.value)
      return { t: each.map(one => one.at), min: value, max: value, mean: value }
    }
    const columns = { t: [] as number[], min: [] as number[], max: [] as number[], mean: [] as number[] }
    for (let i = 0; i < this.#count.length; i++) {
      const count = this.#count[i]!
      if (count === 0) continue
      const min = this.#min[i]!
      const max = this.#max[i]!
      columns.t.push(this.#t[i]!)
      columns.min.push(min)
      columns.max.push(max)
      // A mean of equal values may come out beside them in its last digit.
      columns.mean.push(Math.min(max, Math.max(min, this.#sum[i]! / count)))
    }
    return columns
  }

  #indexOf(atMs: number): number {
    return this.#width === Infinity ? 0 : Math.floor(atMs / this.#width)
  }
}
