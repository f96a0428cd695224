import { LotVerdict, type LotSummary } from './summary.ts'

/** What to make of a lot, in the breeder's terms. */
export const LotQuality = {
  unseen: 'unseen',
  learning: 'learning',
  steady: 'steady',
  /** Hatches less or later than it did: the vessel first, then the lot. */
  declining: 'declining',
  /** Never hatched well, and is not old: its cysts may sleep. */
  dormant: 'dormant',
  goneBad: 'gone-bad',
} as const
export type LotQuality = (typeof LotQuality)[keyof typeof LotQuality]

/**
 * A lot that surely hatches less than this is poor from the start. Own choice, well below the 73 % that 200,000 nauplii a gram are of
 * 275,000 cysts (Treece 2000, SRAC Publication 702; Clegg).
 */
export const POOR_BELOW = 0.5

/**
 * - dormant when it hatches poorly without ever having hatched better, and is within its date: diapause can persist in a lot for
 *   months, which time, cold or a soak ends, while a lot that has aged stays as it is;
 * - else as its verdict says, which goes by the chart of its harvests.
 */
export function lotQuality(
  { verdict, hatchPercentage, reason }: LotSummary,
  isPastDate: boolean,
): LotQuality {
  if (verdict === LotVerdict.unseen) return LotQuality.unseen
  if (verdict === LotVerdict.learning) return LotQuality.learning
  const declined = reason.name === 'hatches-less' || reason.name === 'hatches-later'
  if (!declined && hatchPercentage.p90 < POOR_BELOW && !isPastDate) return LotQuality.dormant
  if (verdict === LotVerdict.goneBad) return LotQuality.goneBad
  return declined ? LotQuality.declining : LotQuality.steady
}
