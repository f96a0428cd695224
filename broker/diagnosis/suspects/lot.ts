import { hatchBand, unseenLot } from '../../hatch/lot/lot.ts'
import { WEAK_BELOW } from '../../hatch/lot/quality.ts'
import { lnOdds, shareOfOdds } from '../../hatch/lot/odds.ts'
import { ANY_SHARE, HATCH_SHARES, hatchPrior } from '../model/weigh.ts'
import { normalQuantile, Z90 } from '../../hatch/normal.ts'
import { CauseKind, type Evidence, type KnownLot } from '../contract.ts'
import type { Case, Suspect } from './suspect.ts'

/** What a lot that is not weak would have given: as this one was known to, or as any good one. */
export function soundShare({ input }: Case): number {
  const known = hatchBand(input.lot.belief).p50
  return Math.max(known, unseenLot.hatchShare)
}

/**
 * The same as the many values that it may have, so that what a weak lot took has a band: as wide as this lot was known before, where that was
 * well, else as lots differ. None of them is weak.
 */
export function soundShares(of: Case, count: number): number[] {
  const known = hatchBand(of.input.lot.belief)
  const { p10, p50, p90 } = known.p50 >= unseenLot.hatchShare ? known : hatchBand(unseenLot)
  const middle = lnOdds(p50)
  return Array.from({ length: count }, (_, at) => {
    // In an order of its own, so that it does not go along with anything else that is drawn.
    const z = normalQuantile(((at + 0.5) * GOLDEN) % 1) / Z90
    const odds = middle + z * (z < 0 ? middle - lnOdds(p10) : lnOdds(p90) - middle)
    return Math.max(shareOfOdds(odds), WEAK_BELOW)
  })
}

const GOLDEN = (Math.sqrt(5) - 1) / 2

/**
 * Where nobody measured the water from beginning to end, so many batches are spoilt by what befell it unseen for each that is not. Own choice,
 * held against the simulator's truth by `npm run blame -- --unseen`: with 0.3 every heat in a gap was put to a lot that nobody knew.
 */
const UNSEEN_SPOILS = 1
/** After so many counts a lot is known. */
const KNOWN_FROM = 2
/** Of a known lot's batches that any share may hatch of, so many are spoilt by what is not measured, not by the lot. Own choice, held against the same truth. */
const NOT_THE_LOTS = 2 / 3

/** Known from earlier batches, and not weak then. */
export const hatchedWell = ({ belief, counted }: KnownLot): boolean =>
  counted >= KNOWN_FROM && hatchBand(belief).p50 >= WEAK_BELOW

/**
 * How likely it is that the lot is weak. A low count alone says that few hatched: that may be the lot, or something that nobody measured. Most
 * of what can go wrong shows in the water, so the more hours of it are missing the less is known; and a lot that hatched well before is
 * not weak of a sudden.
 *
 * @param shares how likely each of {@link HATCH_SHARES} is after the counts, with all suspects at work
 */
export function weakChance({ input, record }: Case, shares: readonly number[]): number {
  const prior = hatchPrior(input.lot.belief)
  const missing = record.water.filter(Number.isNaN).length / record.water.length
  const apart = (hatchedWell(input.lot) ? NOT_THE_LOTS * ANY_SHARE : 0) / shares.length
  // A short gap lets the water stray little, a long one far: the chance grows with the square.
  const unseen = (UNSEEN_SPOILS * missing ** 2) / shares.length
  return shares.reduce((sum, one, at) => {
    if ((HATCH_SHARES[at] ?? 1) >= WEAK_BELOW) return sum
    const before = prior[at] ?? 0
    return sum + (one * Math.max(0, before - apart)) / (before + unseen)
  }, 0)
}

/** @param share what hatches of this batch's cysts when they are kept well, by its count: the middle */
export function weakLot(of: Case, share: number): Suspect {
  const { counted, belief } = of.input.lot
  const known = hatchBand(belief)
  const percent = (value: number) => Math.round(100 * value)
  const evidence: Evidence[] = [
    {
      role: null,
      spans: [],
      value: percent(share),
      limit: percent(WEAK_BELOW),
      unit: '%',
      source:
        'Fewer than half is weak: own choice. A good product gives 200,000 nauplii of some 250,000 cysts in a gram (Treece 2000, SRAC Publication 702)',
      words: `By this batch’s own count ${aboutShare(share)} of its full cysts can hatch; what stays shut is dead or dormant, which a count cannot tell.`,
    },
  ]
  if (counted > 0)
    evidence.push({
      role: null,
      spans: [],
      value: percent(known.p50),
      limit: null,
      unit: '%',
      source: `${counted} earlier ${counted === 1 ? 'batch' : 'batches'} of the lot, counted`,
      words: `Before, ${percent(known.p50)} % (${percent(known.p10)} to ${percent(known.p90)}) of it hatched.`,
    })
  return {
    kind: CauseKind.weakLot,
    words: `The lot is weak or dormant: ${aboutShare(share)} of its full cysts can hatch, where a good one has ${percent(soundShare(of))} %.`,
    evidence,
    real: 1,
    change:
      'Start a small trial of another lot beside it under the same lamp. Dormant cysts may wake after some weeks in the freezer; dead ones will not: take more of it, or replace it.',
  }
}

/** What is reckoned ends at the ends of its range: there it says no more than that. */
function aboutShare(share: number): string {
  if (share < LEAST_TOLD) return `next to none, ${Math.round(100 * LEAST_TOLD)} % at the most,`
  return `about ${Math.round(100 * share)} %`
}

const LEAST_TOLD = 0.02
