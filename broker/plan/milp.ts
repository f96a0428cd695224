/** A mixed-integer program as it is built up: columns with their costs and bounds, rows with theirs. Minimised. */
export class Milp {
  readonly cost: number[] = []
  readonly lower: number[] = []
  readonly upper: number[] = []
  readonly whole: boolean[] = []
  readonly rowLower: number[] = []
  readonly rowUpper: number[] = []
  readonly starts: number[] = [0]
  readonly indices: number[] = []
  readonly values: number[] = []

  column(lower: number, upper: number, whole = false): number {
    this.lower.push(lower)
    this.upper.push(upper)
    this.whole.push(whole)
    return this.cost.push(0) - 1
  }

  row(lower: number, upper: number, terms: readonly (readonly [column: number, value: number])[]): number {
    for (const [column, value] of terms) {
      this.indices.push(column)
      this.values.push(value)
    }
    this.starts.push(this.indices.length)
    this.rowUpper.push(upper)
    return this.rowLower.push(lower) - 1
  }
}
