/** How much of a lot is left: what was bought or last weighed, less what batches drew since. */

export interface Drawn {
  readonly atMs: number
  readonly cystsG: number
}
export interface Weighed {
  readonly atMs: number
  readonly gramsLeft: number
}

export interface GramsLeft {
  /** `null` where neither what was bought nor what is left was ever said; never below 0. */
  readonly gramsLeft: number | null
  /** By all batches together. */
  readonly drawnG: number
  /** More was drawn than there was: weigh it. */
  readonly isOverdrawn: boolean
}

/** A weighing counts from its moment on; batches started at that very moment have drawn already. */
export function gramsLeft(
  boughtG: number | null,
  weighings: readonly Weighed[],
  batches: readonly Drawn[],
): GramsLeft {
  const drawnG = sum(batches)
  const last = weighings.reduce<Weighed | null>(
    (best, one) => (best === null || one.atMs >= best.atMs ? one : best),
    null,
  )
  const from = last === null ? boughtG : last.gramsLeft
  if (from === null) return { gramsLeft: null, drawnG, isOverdrawn: false }
  const left = from - sum(last === null ? batches : batches.filter(({ atMs }) => atMs > last.atMs))
  // A thousandth of a gram is the rounding of sums, no lack.
  return { gramsLeft: Math.max(0, left), drawnG, isOverdrawn: left < -1e-3 }
}

const sum = (batches: readonly Drawn[]): number => batches.reduce((total, { cystsG }) => total + cystsG, 0)
