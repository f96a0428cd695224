import { bandOf } from '../band.ts'
import type { Band } from '../contract.ts'
import { requirementOf } from '../population/population.ts'
import { beliefFrom } from './belief.ts'
import { casesOf } from './cases.ts'
import { type CountedSoFar, countedSoFar } from './counted-so-far.ts'
import { type BatchEvidence, usableItems } from './evidence.ts'
import { batchesOf, type BatchRecord, type Learned, learnLot, plainBatchesOf } from './learn.ts'
import { plainChance } from './likelihood.ts'
import { lotMedianBand, naupliiPerGBand } from './lot.ts'
import { declineOf, laterOf, type LotChange, type LotDecline } from './change.ts'
import type { ControlChart } from './control-chart.ts'
import { type ChartOf, judgingChart } from './harvests.ts'

/** How a lot stands. */
export const LotVerdict = {
  /** Nothing was seen of it yet. */
  unseen: 'unseen',
  /** Counted less than twice. */
  learning: 'learning',
  known: 'known',
  /** Its last batches hatched later or less than it used to. */
  declining: 'declining',
  /** It stayed low for four harvests on end, at half of what was usual or less; or it hardly hatches at all. */
  goneBad: 'gone-bad',
} as const
export type LotVerdict = (typeof LotVerdict)[keyof typeof LotVerdict]

/** Why the verdict is what it is, with its numbers. */
export type LotReason =
  | { readonly name: 'never-observed' }
  | { readonly name: 'few-counts'; readonly counts: number }
  | { readonly name: 'counted'; readonly counts: number }
  | ({ readonly name: 'hatches-less' } & LotDecline)
  | ({ readonly name: 'hatches-later' } & LotChange)
  | { readonly name: 'hardly-hatches'; readonly counts: number; readonly share: number }

/** What is known of a lot. Bands are for its next batch. */
export interface LotSummary {
  readonly verdict: LotVerdict
  readonly reason: LotReason
  /** Median requirement, °C·h above the threshold. */
  readonly medianDegH: Band
  /** From 10 to 90 % hatched, °C·h. */
  readonly synchronyDegH: Band
  /** Share of full cysts that hatch, 0 to 1. */
  readonly hatchPercentage: Band
  readonly naupliiPerG: Band
  /** What its counts said, apart from what is learnt of them; `null` while nothing was counted. */
  readonly counted: CountedSoFar | null
  /** Its harvests as they are judged: the verdict goes by the limits that are drawn of them. */
  readonly harvests: { readonly of: ChartOf; readonly chart: ControlChart }
  /** Batches of which something was seen, all that was seen of them, and the counts among it. */
  readonly batches: number
  readonly observations: number
  readonly counts: number
  /** Batches whose count does not fit the others: unlucky ones, or a slip in a volume. They weigh little. */
  readonly doubted: number
}

/** Below this chance that it came about plainly a count is said not to fit. Own choice. */
const FITS_AT = 0.5

/** From so many batches counted on a lot is known. */
export const KNOWN_FROM_COUNTED = 2
/** A lot that most surely hatches less than this is no use, whatever it was before. Own choice. */
const HARDLY_HATCHES = 0.35
/** So little of what is usual for it, for so many harvests on end, is a lot gone bad; until then it is a decline. Own choices. */
const GONE_BAD_AT = 0.5
const GONE_BAD_AFTER = 4

export function lotSummary(history: readonly BatchEvidence[], atMs: number): LotSummary {
  const learned = learnLot(history)
  const belief = beliefFrom(learned, null, atMs)
  const { records } = learned
  const counted = records.filter(record => record.counts > 0)
  const harvests = judgingChart(history)
  const hatchPercentage = belief.hatch ?? { p10: 0, p50: belief.hatchShare, p90: 1 }
  return {
    ...verdictOf(),
    medianDegH: lotMedianBand(belief),
    synchronyDegH: bandOf(casesOf(belief).map(one => requirementOf(one, 0.9) - requirementOf(one, 0.1))),
    hatchPercentage,
    naupliiPerG: naupliiPerGBand(belief),
    counted: countedSoFar(history),
    harvests,
    batches: records.length,
    observations: records.reduce((sum, record) => sum + record.observations, 0),
    counts: counted.reduce((sum, record) => sum + record.counts, 0),
    doubted: doubtedOf(learned, counted),
  }

  function verdictOf(): Pick<LotSummary, 'verdict' | 'reason'> {
    const counts = counted.length
    if (records.length === 0) return { verdict: LotVerdict.unseen, reason: { name: 'never-observed' } }
    if (counts < KNOWN_FROM_COUNTED) {
      return { verdict: LotVerdict.learning, reason: { name: 'few-counts', counts } }
    }
    const less = declineOf(harvests.chart, harvests.of)
    if (less) {
      const isGone = less.onEnd >= GONE_BAD_AFTER && less.to <= GONE_BAD_AT * less.from
      const verdict = isGone ? LotVerdict.goneBad : LotVerdict.declining
      return { verdict, reason: { name: 'hatches-less', ...less } }
    }
    if (hatchPercentage.p90 < HARDLY_HATCHES) {
      const reason = { name: 'hardly-hatches' as const, counts, share: hatchPercentage.p50 }
      return { verdict: LotVerdict.goneBad, reason }
    }
    const later = laterOf(counted)
    if (later) return { verdict: LotVerdict.declining, reason: { name: 'hatches-later', ...later } }
    return { verdict: LotVerdict.known, reason: { name: 'counted', counts } }
  }
}

/** How many of the counts do not fit: the last by what was believed before it, the others by what is believed of the lot by now. */
function doubtedOf({ weight, records }: Learned, counted: readonly BatchRecord[]): number {
  // One count alone has nothing that it could not fit.
  if (counted.length < KNOWN_FROM_COUNTED) return 0
  const doubted = (of: readonly BatchRecord[], lot: Float64Array): number => {
    const [all, plain] = [batchesOf(lot, 0), plainBatchesOf(lot)]
    return of.filter(({ batch }) => plainChance(batch, usableItems(batch), all, plain) < FITS_AT).length
  }
  const last = counted.slice(-1)
  const before = records[records.length - 2]
  const isNewest = last[0] === records.at(-1)
  if (!before || !isNewest) return doubted(counted, weight)
  return doubted(counted.slice(0, -1), weight) + doubted(last, before.lotAfter)
}
