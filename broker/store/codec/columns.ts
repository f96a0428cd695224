/** Samples of one channel as columns. A missing value is NaN with the missing bit set in its mark. */
export interface Columnar {
  /** Unix ms. */
  readonly at: Float64Array
  readonly value: Float64Array
  /** See `mark.ts`. */
  readonly mark: Uint8Array
}

/** Gathers samples in any order and gives them back in the order of time; equal times keep the order of arrival. */
export class ColumnBuilder {
  #at = new Float64Array(256)
  #value = new Float64Array(256)
  #mark = new Uint8Array(256)
  #length = 0
  #sorted = true

  get length(): number {
    return this.#length
  }

  push(at: number, value: number, mark: number): void {
    if (this.#length === this.#at.length) this.#grow(this.#length + 1)
    const i = this.#length++
    if (i > 0 && at < this.#at[i - 1]!) this.#sorted = false
    this.#at[i] = at
    this.#value[i] = value
    this.#mark[i] = mark
  }

  append(columns: Columnar): void {
    const more = columns.at.length
    if (more === 0) return
    const length = this.#length
    if (length + more > this.#at.length) this.#grow(length + more)
    if (length > 0 && columns.at[0]! < this.#at[length - 1]!) this.#sorted = false
    this.#at.set(columns.at, length)
    this.#value.set(columns.value, length)
    this.#mark.set(columns.mark, length)
    this.#length += more
  }

  /** The samples in time order. The builder must not be used after. */
  build(): Columnar {
    const at = this.#at.subarray(0, this.#length)
    const value = this.#value.subarray(0, this.#length)
    const mark = this.#mark.subarray(0, this.#length)
    if (this.#sorted) return { at, value, mark }
    // The array sort is stable and fast on what is made of a few rising runs, as overlapping chunks are.
    const order = Array.from(at, (_, i) => i).sort((a, b) => at[a]! - at[b]!)
    const byOrder = (column: Float64Array) => Float64Array.from(order, i => column[i]!)
    return { at: byOrder(at), value: byOrder(value), mark: Uint8Array.from(order, i => mark[i]!) }
  }

  #grow(least: number): void {
    const size = Math.max(least, this.#at.length * 2)
    const at = new Float64Array(size)
    at.set(this.#at)
    this.#at = at
    const value = new Float64Array(size)
    value.set(this.#value)
    this.#value = value
    const mark = new Uint8Array(size)
    mark.set(this.#mark)
    this.#mark = mark
  }
}

export function slice(columns: Columnar, from: number, to: number): Columnar {
  return {
    at: columns.at.subarray(from, to),
    value: columns.value.subarray(from, to),
    mark: columns.mark.subarray(from, to),
  }
}
