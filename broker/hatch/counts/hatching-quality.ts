import { moreThanNone } from './errors.ts'
import type { Interval } from './interval.ts'
import { binomialInterval, CONFIDENCE, scaled, withScaleError } from './interval.ts'
import type { CountSample } from './samples.ts'
import { checkSamples } from './samples.ts'

/**
 * The measures of hatching quality as Asem 2013 gives them, after Sorgeloos et al. 1978 and Van Stappen 1996.
 */

/**
 * Hatching percentage, H% = 100 N / (N + U + E): nauplii in all that are full (nauplii, umbrella stages, unhatched embryos), with
 * its exact limits. Only samples in which the unhatched were counted have a say; umbrella stages left out were none. What
 * share of a sample is nauplii does not depend on how much water it holds, so volumes and dilutions do not matter; but unhatched
 * cysts sink sooner than nauplii, and a vessel that was not mixed shows another percentage at each depth.
 *
 * @returns percent, or `null` when no sample can say
 * @throws CountError for samples with impossible numbers
 */
export function hatchingPercentage(
  samples: readonly CountSample[],
  confidence = CONFIDENCE,
): Interval | null {
  checkSamples(samples)
  const whole = samples.filter(sample => sample.embryos !== undefined)
  const nauplii = whole.reduce((sum, sample) => sum + sample.nauplii, 0)
  const full = whole.reduce((sum, each) => sum + each.nauplii + (each.umbrella ?? 0) + (each.embryos ?? 0), 0)
  return full === 0 ? null : scaled(binomialInterval(nauplii, full, confidence), 100)
}

/**
 * Hatching efficiency, HE: nauplii out of a gram of dry product. The limits are those of the number of nauplii; `gramsErrorShare` is
 * how far off the grams may be, 0 for a good balance, some 0.1 to 0.2 for a spoon (common practice, no source).
 *
 * @param nauplii in the whole vessel
 * @throws CountError for no grams
 */
export function hatchingEfficiency(nauplii: Interval, cystsG: number, gramsErrorShare = 0): Interval {
  moreThanNone('reckon hatching efficiency', 'cystsG', Infinity, cystsG)
  return withScaleError(scaled(nauplii, 1 / cystsG), gramsErrorShare)
}

/** Dry weight of an instar I nauplius, µg, of three sources of cysts (read in a secondary compilation). */
export const NAUPLIUS_DRY_UG = { sanFranciscoBay: 1.63, greatSaltLake: 2.42, aibiLake: 4.55 } as const

/**
 * Hatching output: mg of dry nauplii out of a gram of dry product, HE × dry weight of an instar I. `dryErrorShare` is how far off the
 * weight may be; weights differ between lots, so one from a table is a guess.
 *
 * @param efficiency nauplii per gram
 * @param naupliusDryUg see {@link NAUPLIUS_DRY_UG}
 * @throws CountError for no weight
 */
export function hatchingOutput(efficiency: Interval, naupliusDryUg: number, dryErrorShare = 0): Interval {
  moreThanNone('reckon hatching output', 'dry weight of a nauplius', 100, naupliusDryUg)
  return withScaleError(scaled(efficiency, naupliusDryUg / 1000), dryErrorShare)
}
