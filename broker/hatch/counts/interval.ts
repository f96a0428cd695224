import betaQuantile from '@stdlib/stats-base-dists-beta-quantile'
import chisquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile'
import normalQuantile from '@stdlib/stats-base-dists-normal-quantile'
import { CountError, moreThanNone, wholeNumber } from './errors.ts'

/** An estimate with the limits that hold the truth at the confidence asked for. */
export interface Interval {
  readonly low: number
  readonly best: number
  readonly high: number
}

/** What a count's limits are given at unless asked otherwise. */
export const CONFIDENCE = 0.95

/** The greatest count that is reckoned with; the limits are then ±0.006 %. */
export const LARGEST_COUNT = 1_000_000_000

/**
 * Exact limits of a Poisson mean from one count (Garwood 1936, Biometrika 28:437): χ²(α/2; 2k)/2 and χ²(1 - α/2; 2k + 2)/2.
 * They hold the truth at least as often as asked, at any mean.
 *
 * @throws CountError for what is no count or no confidence
 */
export function poissonInterval(count: number, confidence = CONFIDENCE): Interval {
  wholeNumber('give limits of a count', 'count', LARGEST_COUNT, count)
  return poissonLimits(count, confidenceOf(confidence))
}

/** The same formula for a count that need not be whole: one that was divided by its index of dispersion. */
export function poissonLimits(count: number, confidence: number): Interval {
  const tail = (1 - confidence) / 2
  return {
    low: count === 0 ? 0 : chisquareAt(tail, 2 * count) / 2,
    best: count,
    high: chisquareAt(1 - tail, 2 * count + 2) / 2,
  }
}

/**
 * Above so many degrees of freedom the library's quantile is not used: its incomplete gamma function errs from about 1,750 on, in
 * probability by up to 0.05.
 */
const LIBRARY_HOLDS_TO = 1000

/**
 * A quantile of χ²; for many degrees of freedom by the cube root's normal approximation (Wilson & Hilferty 1931, PNAS 17:684), which there
 * errs by less than a hundred-thousandth at any usual confidence.
 */
function chisquareAt(share: number, freedom: number): number {
  if (freedom <= LIBRARY_HOLDS_TO) return chisquareQuantile(share, freedom)
  const variance = 2 / (9 * freedom)
  return freedom * (1 - variance + normalQuantile(share, 0, 1) * Math.sqrt(variance)) ** 3
}

/**
 * Exact limits of a share from `successes` out of `trials` (Clopper & Pearson 1934, Biometrika 26:404), as quantiles of the beta
 * distribution; shares from 0 to 1. They hold the truth at least as often as asked, at any share.
 *
 * @throws CountError for what are no counts, for no trials at all, or for no confidence
 */
export function binomialInterval(successes: number, trials: number, confidence = CONFIDENCE): Interval {
  const verb = 'give limits of a share'
  wholeNumber(verb, 'trials', LARGEST_COUNT, trials)
  moreThanNone(verb, 'trials', LARGEST_COUNT, trials)
  wholeNumber(verb, 'successes', trials, successes)
  const tail = (1 - confidenceOf(confidence)) / 2
  const failures = trials - successes
  return {
    low: successes === 0 ? 0 : betaQuantile(tail, successes, failures + 1),
    best: successes / trials,
    high: failures === 0 ? 1 : betaQuantile(1 - tail, successes + 1, failures),
  }
}

/**
 * Limits of a Poisson total whose single counts vary `index` times as much as Poisson does (quasi-Poisson: McCullagh & Nelder 1989,
 * Generalized Linear Models, section 6.2.3). The count weighs as little as one of `count / index` would, and because the index is
 * itself estimated, with `freedom` degrees, the limits are moved out from the best by t over z: the upper as a difference, the lower as
 * a ratio, so that it stays above 0. Approximate, not exact.
 *
 * @param count more than 0
 */
export function quasiPoissonLimits(
  count: number,
  index: number,
  freedom: number,
  confidence = CONFIDENCE,
): Interval {
  const effective = count / index
  const { low, high } = poissonLimits(effective, confidence)
  const stretch = studentQuantile(confidence, freedom) / normalQuantile((1 + confidence) / 2, 0, 1)
  return {
    low: count * (low / effective) ** stretch,
    best: count,
    high: count * (1 + stretch * (high / effective - 1)),
  }
}

/** The t that holds a share of Student's distribution between -t and t; t² / (t² + n) is beta distributed. */
function studentQuantile(share: number, freedom: number): number {
  const x = betaQuantile(share, 0.5, freedom / 2)
  return Math.sqrt((freedom * x) / (1 - x))
}

/** All three times a factor that is known exactly. */
export function scaled({ low, best, high }: Interval, factor: number): Interval {
  return { low: low * factor, best: best * factor, high: high * factor }
}

/**
 * Wider by a factor that is itself uncertain: `errorShare` is how far off it may be at the same confidence, 0.1 for ±10 %. The two are
 * independent, so their distances on the ln scale add as squares (propagation of error; approximate).
 */
export function withScaleError({ low, best, high }: Interval, errorShare: number): Interval {
  if (errorShare === 0 || best === 0) return { low, best, high: high * (1 + errorShare) }
  const widened = (end: number) => best * Math.exp(Math.hypot(Math.log(end / best), Math.log1p(errorShare)))
  return { low: low === 0 ? 0 : best ** 2 / widened(best ** 2 / low), best, high: widened(high) }
}

/** The confidence itself, when it is one. */
export function confidenceOf(confidence: number): number {
  if (confidence > 0 && confidence < 1) return confidence
  throw new CountError('give limits', 'confidence', 'between 0 and 1', confidence)
}
