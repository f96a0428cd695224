import { ChartOf } from './harvests.ts'
import { CYSTS_PER_G } from './lot.ts'
import { LotVerdict, type LotSummary } from './summary.ts'

/** What to make of a lot, in the breeder's terms. */
export const LotQuality = {
  unseen: 'unseen',
  learning: 'learning',
  steady: 'steady',
  /** Fewer hatch than of a good lot, whether or not it ever was better. */
  weak: 'weak',
  /** Its harvests differ so much that a decline would hardly show. */
  uneven: 'uneven',
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
 * A lot of which fewer of the full cysts hatch is weak. Own choice: a quarter less than the lower end of a good product, 200,000 of the 275,000
 * that a gram can hold (Treece 2000; Clegg).
 */
export const WEAK_BELOW = 0.55
/** One harvest that failed by itself is no level: from so many on their middle is. Own choice. */
const LEVEL_FROM = 3

/** What is usual for a lot, as a share of its full cysts: the middle of its counted harvests, which failed ones hardly move; `null` with few. */
export function levelOf({ harvests: { of, chart } }: Pick<LotSummary, 'harvests'>): number | null {
  const sorted = chart.values.map(({ value }) => value).sort((a, b) => a - b)
  if (sorted.length < LEVEL_FROM) return null
  const middle = ((sorted[(sorted.length - 1) >> 1] ?? 0) + (sorted[sorted.length >> 1] ?? 0)) / 2
  return of === ChartOf.hatchPercentage ? middle / 100 : middle / CYSTS_PER_G
}

/** Less than a good lot gives, by what was counted and by what is believed of it, as a batch's diagnosis takes it. */
export function isWeak(summary: Pick<LotSummary, 'harvests' | 'hatchPercentage'>): boolean {
  const level = levelOf(summary)
  return level !== null && level < WEAK_BELOW && summary.hatchPercentage.p50 < WEAK_BELOW
}

/** The lines of its chart lie so wide apart that half of what is usual for it could still be chance. */
export const isUneven = ({ harvests: { chart } }: Pick<LotSummary, 'harvests'>): boolean =>
  chart.limits !== null && chart.limits.innerLower <= chart.limits.mean / 2

/**
 * - dormant when it hatches poorly without ever having hatched better, and is within its date: diapause can persist in a lot for
 *   months, which time, cold or a soak ends, while a lot that has aged stays as it is;
 * - weak by its level, whatever its chart can tell of a change; uneven where the chart can tell little and the level is well;
 * - else as its verdict says, which goes by the chart of its harvests.
 */
export function lotQuality(summary: LotSummary, isPastDate: boolean): LotQuality {
  const { verdict, hatchPercentage, reason } = summary
  if (verdict === LotVerdict.unseen) return LotQuality.unseen
  if (verdict === LotVerdict.learning) return LotQuality.learning
  const declined = reason.name === 'hatches-less' || reason.name === 'hatches-later'
  if (!declined && hatchPercentage.p90 < POOR_BELOW && !isPastDate) return LotQuality.dormant
  if (verdict === LotVerdict.goneBad) return LotQuality.goneBad
  if (declined) return LotQuality.declining
  if (isWeak(summary)) return LotQuality.weak
  return isUneven(summary) ? LotQuality.uneven : LotQuality.steady
}
