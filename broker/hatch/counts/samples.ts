import { between, CountError, wholeNumber } from './errors.ts'

/** One sample of the vessel's water, counted under the lens. */
export interface CountSample {
  /** Millilitres that were counted, of whatever was in the dish. */
  readonly sampleMl: number
  /** How many times the water was thinned before: 10 for one part in ten. 1 when left out. */
  readonly dilution?: number | undefined
  /** Free swimming. */
  readonly nauplii: number
  /** Out of the shell, but still in their membrane. */
  readonly umbrella?: number | undefined
  /** Full cysts that have not hatched; left out when they were not counted. */
  readonly embryos?: number | undefined
}

export const SAMPLES_AT_MOST = 100
export const COUNTED_AT_MOST = 1_000_000
export const DILUTED_AT_MOST = 10_000
/** A microlitre: less is no sample. */
export const SAMPLE_ML_AT_LEAST = 0.001
export const SAMPLE_ML_AT_MOST = 1000

/** One sample as a count in so much of the water that it was taken from. */
export interface CountedWater {
  readonly count: number
  /** Millilitres of that water that were in what was counted. */
  readonly ml: number
}

/** Samples taken together. Of Poisson counts, all counted over all water is the best estimate, whatever the volumes and dilutions. */
export interface Pool extends CountedWater {
  readonly parts: readonly CountedWater[]
}

/**
 * Takes together what was counted in all samples.
 *
 * @throws CountError for no samples, too many, or one with a number that is not possible
 */
export function poolNauplii(samples: readonly CountSample[]): Pool {
  checkSamples(samples)
  const parts = samples.map(sample => ({ count: sample.nauplii, ml: waterMl(sample) }))
  return {
    count: parts.reduce((sum, part) => sum + part.count, 0),
    ml: parts.reduce((sum, part) => sum + part.ml, 0),
    parts,
  }
}

/** Millilitres in a sample of the water that it was taken from. */
export function waterMl({ sampleMl, dilution = 1 }: CountSample): number {
  return sampleMl / dilution
}

/** What all samples of a count were taken from. */
export interface SampledFrom {
  /** Water of the whole vessel, l. */
  readonly litres: number
  /** All that was drawn off, or what it was sieved into, ml; left out where the whole vessel was stirred and sampled. */
  readonly drawnOffMl?: number | undefined
}
export const DRAWN_OFF_ML_AT_MOST = 100_000

/** The water that the samples stand for, ml: a count in a millilitre of it, times this, is all that it holds. */
export function sampledWaterMl({ litres, drawnOffMl }: SampledFrom): number {
  return drawnOffMl ?? 1000 * litres
}

/**
 * How much of the vessel's own water the samples stand for, ml: what is drawn off holds the nauplii of all of it closer together.
 */
export function vesselMlSampled(samples: readonly CountSample[], from: SampledFrom): number {
  const ml = samples.reduce((sum, sample) => sum + waterMl(sample), 0)
  return (ml * 1000 * from.litres) / sampledWaterMl(from)
}

export function checkSamples(samples: readonly CountSample[]): void {
  const verb = 'estimate from counts'
  if (samples.length === 0 || samples.length > SAMPLES_AT_MOST) {
    throw new CountError(verb, 'samples', `1 to ${SAMPLES_AT_MOST}`, samples.length)
  }
  samples.forEach((sample, at) => {
    const field = (name: string) => `samples.${at}.${name}`
    between(verb, field('sampleMl'), SAMPLE_ML_AT_LEAST, SAMPLE_ML_AT_MOST, sample.sampleMl)
    if (sample.dilution !== undefined) between(verb, field('dilution'), 1, DILUTED_AT_MOST, sample.dilution)
    wholeNumber(verb, field('nauplii'), COUNTED_AT_MOST, sample.nauplii)
    wholeNumber(verb, field('umbrella'), COUNTED_AT_MOST, sample.umbrella ?? 0)
    wholeNumber(verb, field('embryos'), COUNTED_AT_MOST, sample.embryos ?? 0)
  })
}
