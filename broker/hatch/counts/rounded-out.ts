import type { Interval } from './interval.ts'

type Limits = Pick<Interval, 'low' | 'high'>

/** What reckoning with binary fractions leaves over a round number is no reason for a step more. */
const HAIR = 1e-9

/** Limits to three figures of the upper one, the lower rounded down and the upper up, so that they still hold. */
export function roundedOut({ low, high }: Limits): Limits {
  const step = Math.max(10 ** (Math.floor(Math.log10(high)) - 2), 1)
  return { low: Math.floor(low / step + HAIR) * step, high: Math.ceil(high / step - HAIR) * step }
}
