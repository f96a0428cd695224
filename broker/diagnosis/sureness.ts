import { Sureness } from './contract.ts'

/** Words for a probability. Where they begin is an own choice. */
export function surenessOf(probability: number): Sureness {
  if (probability >= 0.95) return Sureness.asGoodAsCertain
  if (probability >= 0.8) return Sureness.veryLikely
  if (probability >= 0.5) return Sureness.likely
  return probability >= 0.2 ? Sureness.possible : Sureness.unlikely
}
