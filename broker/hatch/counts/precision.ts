import type { Dispersion } from './dispersion.ts'
import { indexToUse } from './dispersion.ts'
import { between } from './errors.ts'
import type { Interval } from './interval.ts'
import { poissonLimits, quasiPoissonLimits } from './interval.ts'

export interface MoreSamples {
  /** How many more samples like those counted; `null` when nothing was counted, or when it takes more than {@link MORE_AT_MOST}. */
  readonly n: number | null
  /** The precision asked for: 0.1 for limits within ±10 % of the best. */
  readonly forPrecision: number
}

export const MORE_AT_MOST = 1000
export const FINEST_PRECISION = 0.01

/** Limits of the mean count in all the samples together: Poisson, or wider where they differ more than a mixed vessel's. */
export function totalLimits(count: number, dispersion: Dispersion, confidence: number): Interval {
  const index = indexToUse(dispersion)
  return index > 1
    ? quasiPoissonLimits(count, index, dispersion.freedom, confidence)
    : poissonLimits(count, confidence)
}

/**
 * How many more samples it takes until the farther limit lies within `wanted` of the best, when they turn out as those counted did:
 * as many in each, and differing as much. Volumes that are unsure stay so with any number of samples, and are left out here. Within ±10 % at 95 % confidence that is about 400 counted in all from a mixed vessel.
 *
 * @param wanted 0.01 to 1
 * @throws CountError for another precision
 */
export function moreSamples(
  count: number,
  samples: number,
  dispersion: Dispersion,
  wanted: number,
  confidence: number,
): MoreSamples {
  between('say how many more samples', 'wantedPrecision', FINEST_PRECISION, 1, wanted)
  const isEnough = (more: number) => {
    const total = samples + more
    const { best, high } = totalLimits(
      (count * total) / samples,
      { ...dispersion, freedom: total - 1 },
      confidence,
    )
    return high - best <= wanted * best
  }
  if (count === 0 || !isEnough(MORE_AT_MOST)) return { n: null, forPrecision: wanted }
  let enough = MORE_AT_MOST
  let tooFew = -1
  while (enough - tooFew > 1) {
    const middle = (enough + tooFew) >> 1
    if (isEnough(middle)) enough = middle
    else tooFew = middle
  }
  return { n: enough, forPrecision: wanted }
}
