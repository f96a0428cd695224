/** A count as far as it matters which harvest it tells of. */
export interface CountAt {
  readonly atMs: number
  /** Written down as counted at the harvest. */
  readonly harvest: boolean
  /** Of the stirred vessel, with what had not hatched. */
  readonly isWhole: boolean
}

/**
 * A count of the stirred vessel that was not marked as the harvest's tells of it all the same when it was taken so shortly before or after: in
 * that time hardly any more hatch. Own choice, ms.
 */
export const SAME_HARVEST_MS = 3_600_000

/** Of counts that say how many cysts had not hatched, or `null`. */
export const countedAt = ({
  atMs,
  harvest,
  embryos,
}: Pick<CountAt, 'atMs' | 'harvest'> & { readonly embryos: number | null }): CountAt => ({
  atMs,
  harvest,
  isWhole: embryos !== null,
})

/**
 * A harvest is often counted twice: the stirred vessel for the share that hatched, which what is drawn off cannot tell, and what was drawn off
 * for how many there are to feed. This is the count that tells the share beside another one: the same, where it tells it itself, else the
 * newest of the same harvest; `null` without one.
 *
 * @param counts those that stand, in any order
 */
export function wholeCountOf<T>(counts: readonly T[], of: T, told: (count: T) => CountAt): T | null {
  const own = told(of)
  if (own.isWhole) return of
  const beside = counts.filter(count => {
    const { atMs, harvest, isWhole } = told(count)
    if (!isWhole) return false
    return harvest === own.harvest || (own.harvest && Math.abs(atMs - own.atMs) <= SAME_HARVEST_MS)
  })
  return beside.sort((a, b) => told(a).atMs - told(b).atMs).at(-1) ?? null
}
