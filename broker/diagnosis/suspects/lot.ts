import { hatchBand, unseenLot } from '../../hatch/lot/lot.ts'
import { CauseKind, type Evidence } from '../contract.ts'
import type { Case, Suspect } from './suspect.ts'

/**
 * A lot of which fewer of the full cysts hatch is weak. Own choice: a quarter less than the lower end of a good product, 200,000 of the 275,000
 * that a gram can hold (Treece 2000; Clegg).
 */
export const WEAK_BELOW = 0.55

/** What a lot that is not weak would have given: as this one was known to, or as any good one. */
export function soundShare({ input }: Case): number {
  const known = hatchBand(input.lot.belief).p50
  return Math.max(known, unseenLot.hatchShare)
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
      words: `By this batch’s own count some ${percent(share)} % of its full cysts can hatch; what stays shut is dead or dormant, which a count cannot tell.`,
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
    words: `The lot is weak or dormant: about ${percent(share)} % of its full cysts can hatch, where a good one has ${percent(soundShare(of))} %.`,
    evidence,
    real: 1,
    change:
      'Start a small trial of another lot beside it under the same lamp. Dormant cysts may wake after some weeks in the freezer; dead ones will not: take more of it, or replace it.',
  }
}
