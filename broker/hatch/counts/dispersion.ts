import chisquareCdf from '@stdlib/stats-base-dists-chisquare-cdf'
import type { Pool } from './samples.ts'

/** Whether the samples differ more than those from a mixed vessel would. */
export const Mixing = {
  mixed: 'mixed',
  /** One mixed vessel in twenty looks like this, or worse. */
  doubtful: 'doubtful',
  /** One mixed vessel in a thousand looks like this. */
  unmixed: 'unmixed',
  /** One sample, or too little counted in each, to tell. */
  tooFew: 'too-few',
} as const
export type Mixing = (typeof Mixing)[keyof typeof Mixing]

export interface Dispersion {
  /** How many times as much the counts vary as Poisson counts do; about 1 when mixed. `null` when it cannot be told. */
  readonly index: number | null
  /** Degrees of freedom: one less than the samples. */
  readonly freedom: number
  /** How often a mixed vessel's samples differ that much or more, 0 to 1. */
  readonly p: number | null
  readonly verdict: Mixing
}

/** From memory after Cochran 1954, Biometrics 10:417: the test serves where few are expected, but not where next to none are. */
const LEAST_EXPECTED = 1
const LEAST_EXPECTED_ON_AVERAGE = 5

const DOUBTFUL_BELOW = 0.05
const UNMIXED_BELOW = 0.001

/**
 * The dispersion test (Fisher's index of dispersion): X² = Σ (counted - expected)² / expected, expected in proportion to each
 * sample's water; χ² with one degree less than samples when the vessel was mixed; the index is X² over its degrees.
 */
export function dispersionOf({ count, ml, parts }: Pool): Dispersion {
  const freedom = parts.length - 1
  const expected = parts.map(part => (count * part.ml) / ml)
  const tooFew =
    freedom < 1 || Math.min(...expected) < LEAST_EXPECTED || count / parts.length < LEAST_EXPECTED_ON_AVERAGE
  if (tooFew) return { index: null, freedom, p: null, verdict: Mixing.tooFew }
  const squares = parts.reduce((sum, part, at) => {
    const mean = expected[at] ?? 0
    return sum + (part.count - mean) ** 2 / mean
  }, 0)
  const p = 1 - chisquareCdf(squares, freedom)
  return { index: squares / freedom, freedom, p, verdict: verdictAt(p) }
}

function verdictAt(p: number): Mixing {
  if (p < UNMIXED_BELOW) return Mixing.unmixed
  return p < DOUBTFUL_BELOW ? Mixing.doubtful : Mixing.mixed
}

/**
 * The index to reckon with: that of the samples where they differ too much, else that of a mixed vessel. In a mixed vessel limits at
 * 95 % then hold 95 % of the time; but few samples miss a vessel that is a little unmixed. Where the water differs by 15 % from place to place
 * they hold 83 % of the time with three samples of 100 and 89 % with six; where by 30 %, 85 and 93 % (simulated).
 */
export function indexToUse({ index, verdict }: Dispersion): number {
  const differs = verdict === Mixing.doubtful || verdict === Mixing.unmixed
  return differs && index !== null ? index : 1
}
