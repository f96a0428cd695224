/** Which lot to take next. */
export interface LotOnShelf {
  readonly name: string
  /** `null` where it is not known. */
  readonly gramsLeft: number | null
  readonly useByMs: number | null
  readonly openedOnMs: number | null
  readonly isPutAway: boolean
}

/** Those that hold so many grams. What is left of a lot is unknown counts as enough. */
export const lotsHolding = <Lot extends LotOnShelf>(lots: readonly Lot[], cystsG: number): Lot[] =>
  lots.filter(({ isPutAway, gramsLeft: left }) => !isPutAway && (left === null || left >= cystsG))

/**
 * The lot that was taken last while it lasts; else the one that has to be used first, opened ones before closed ones; `null` where
 * no lot holds so many grams.
 */
export function nextLot<Lot extends LotOnShelf>(
  lots: readonly Lot[],
  cystsG: number,
  lastName: string | null,
): Lot | null {
  const holding = lotsHolding(lots, cystsG)
  const last = holding.find(({ name }) => name === lastName)
  if (last) return last
  const rank = ({ openedOnMs, useByMs }: LotOnShelf) => [
    openedOnMs === null ? 1 : 0,
    useByMs ?? Infinity,
    openedOnMs ?? Infinity,
  ]
  return [...holding].sort((a, b) => compare(rank(a), rank(b)))[0] ?? null
}

function compare(a: readonly number[], b: readonly number[]): number {
  for (let at = 0; at < a.length; at++) {
    const [one = 0, other = 0] = [a[at], b[at]]
    if (one !== other) return one < other ? -1 : 1
  }
  return 0
}
