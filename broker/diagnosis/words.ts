import { type Balance, type Cause, type KnownLot, Verdict } from './contract.ts'

/** The whole of a diagnosis in one sentence. */
export function verdictWords(
  verdict: Verdict,
  named: readonly Cause[],
  { counted, unexplained }: Balance,
  lot: KnownLot,
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
      return `Nothing went wrong that the record shows: ${Math.round(counted?.best ?? 0)} % of the full cysts swam at the harvest, as was to be expected.`
    case Verdict.notCounted:
      return 'Nothing went wrong that the record shows. The harvest was not counted, so whether it gave what it should is not known.'
    case Verdict.unexplained: {
      const missing = Math.round(-(unexplained?.p50 ?? 0))
      const suspect =
        lot.counted >= 2
          ? 'the lot hatched well before, so suspect what is not measured first (pH, salt, light, a rinse of soap or bleach), then the lot'
          : 'suspect the lot or what is not measured'
      return `Nothing in the record explains it: ${missing} points of hatch percentage fewer than expected; ${suspect}.`
    }
  }
}
