/** One entry of a batch's log that stands, as far as its harvests hang on it. */
export interface HarvestEntry {
  readonly kind: string
  readonly atMs: number
  readonly recordedAtMs: number
  /** Of what was taken: which share of the harvest, 0 to 1, and how many; `null` where nobody said. */
  readonly share?: number | null
  readonly nauplii?: number | null
  /** Of a count at the harvest: how many there are. */
  readonly counted?: { readonly best: number; readonly high: number } | null
}

/** What of a harvest is not written down yet. */
export interface HarvestLeft {
  /** 0 to 1. */
  readonly share: number
  /** `null` where the harvest was not counted. */
  readonly nauplii: number | null
  /** The count that it was reckoned with. */
  readonly counted: HarvestEntry | null
}

/** Shares are typed in whole per cent: three thirds are 99 or 102 of them. */
export const SHARE_SLACK = 0.02

/**
 * What is left of the harvest that goes on at a moment: 1, less all that was taken of it. With the air on again the batch goes on, and
 * what is harvested after that is another harvest. What was taken by number alone is weighed against the upper limit of the
 * harvest's count, so that a count's chance accuses nobody; without one it says nothing of a share.
 *
 * @param entries those that stand, in any order
 */
export function harvestLeft(entries: readonly HarvestEntry[], atMs: number): HarvestLeft {
  const begins = entries
    .filter(({ kind, atMs: at }) => kind === 'air-on' && at <= atMs)
    .reduce((newest, { atMs: at }) => Math.max(newest, at), -Infinity)
  const ends = entries
    .filter(({ kind, atMs: at }) => kind === 'air-on' && at > atMs)
    .reduce((first, { atMs: at }) => Math.min(first, at), Infinity)
  const own = entries.filter(({ atMs: at }) => at >= begins && at < ends)
  const counted =
    own
      .filter(each => each.counted)
      .sort((a, b) => a.atMs - b.atMs || a.recordedAtMs - b.recordedAtMs)
      .at(-1) ?? null
  const high = counted?.counted?.high ?? 0
  const taken = own
    .filter(({ kind }) => kind === 'taken')
    .reduce((sum, { share, nauplii }) => {
      if (typeof share === 'number') return sum + share
      return typeof nauplii === 'number' && high > 0 ? sum + nauplii / high : sum
    }, 0)
  const share = Math.max(0, 1 - taken)
  return { share, nauplii: counted?.counted ? Math.round(share * counted.counted.best) : null, counted }
}

/** How far more than all of a harvest would be taken, as a share of it; 0 where it is not. */
export function overTaken(left: HarvestLeft, share: number | null, nauplii: number | null): number {
  const high = left.counted?.counted?.high ?? 0
  const wanted = share ?? (nauplii !== null && high > 0 ? nauplii / high : 0)
  const over = wanted - left.share
  return over > SHARE_SLACK ? over : 0
}
