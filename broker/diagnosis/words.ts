import { hatchedWell } from './suspects/lot.ts'
import type { Band } from '../hatch/contract.ts'
import { type Balance, type Cause, type KnownLot, Verdict } from './contract.ts'

/** The whole of a diagnosis in one sentence. `notMeasured`: what nobody measured of this batch, a word each. */
export function verdictWords(
  verdict: Verdict,
  named: readonly Cause[],
  risky: readonly Cause[],
  { counted, expected, unexplained }: Balance,
  lot: KnownLot,
  notMeasured: readonly string[],
): string {
  switch (verdict) {
    case Verdict.causes: {
      const [first, ...more] = named
      const others =
        more.length === 0
          ? ''
          : ` ${more.length === 1 ? 'One more cause is' : `${more.length} more causes are`} named below.`
      return `${first?.words ?? ''}${others}`
    }
    case Verdict.nothing:
      return [
        risky.length === 0
          ? 'Nothing went wrong that the record shows'
          : 'Nothing was lost that the count shows',
        `: ${Math.round(counted?.best ?? 0)} % of the full cysts swam at the harvest, ${againstExpected(counted?.best ?? 0, expected)}.`,
        risky.length === 0
          ? ''
          : ` ${risky.length === 1 ? 'One thing was' : `${risky.length} things were`} risky all the same, and named below.`,
      ].join('')
    case Verdict.notCounted:
      return 'Nothing went wrong that the record shows. The harvest was not counted, so whether it gave what it should is not known.'
    case Verdict.unexplained: {
      const missing = Math.round(-(unexplained?.p50 ?? 0))
      const unseen = `what is not measured (${[...notMeasured, 'a rinse of soap or bleach'].join(', ')})`
      const suspect = hatchedWell(lot)
        ? `the lot hatched well before, so suspect ${unseen} first, then the lot`
        : `suspect the lot or ${unseen}`
      return `Nothing in the record explains it: ${missing} points of hatch percentage fewer than expected; ${suspect}.`
    }
  }
}

function againstExpected(best: number, { p10, p50, p90 }: Band): string {
  const about = `some ${Math.round(p50)}`
  if (best > p90) return `more than was to be expected (${about})`
  return best < p10 ? `hardly less than was to be expected (${about})` : 'as was to be expected'
}
