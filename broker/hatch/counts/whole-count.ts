/** A count as far as it matters which harvest it tells of. */
export interface CountAt {
  readonly atMs: number
  /** Written down as counted at the harvest. */
  readonly harvest: boolean
  /** Of the stirred vessel, with what had not hatched. */
  readonly isWhole: boolean
}

/** Counts that are both marked as the harvest's are of the same one so far apart; later, others have hatched. Own choice, ms. */
export const ONE_HARVEST_MS = 6 * 3_600_000
/** Others belong together so far apart, within which hardly any more hatch, whether or not somebody marked them. Own choice, ms. */
export const SHORTLY_MS = 3_600_000

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
    const apartMs = Math.abs(atMs - own.atMs)
    return apartMs <= (harvest && own.harvest ? ONE_HARVEST_MS : SHORTLY_MS)
  })
  return beside.sort((a, b) => told(a).atMs - told(b).atMs).at(-1) ?? null
}
