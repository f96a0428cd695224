import type { Dispersion } from './dispersion.ts'
import { dispersionOf } from './dispersion.ts'
import { between, CountError } from './errors.ts'
import { estimateWords } from './estimate-words.ts'
import { hatchingEfficiency, hatchingPercentage } from './hatching-quality.ts'
import type { Interval } from './interval.ts'
import { CONFIDENCE, scaled, withScaleError } from './interval.ts'
import type { MoreSamples } from './precision.ts'
import { moreSamples, totalLimits } from './precision.ts'
import type { CountSample, SampledFrom } from './samples.ts'
import { DRAWN_OFF_ML_AT_MOST, poolNauplii, SAMPLE_ML_AT_LEAST, sampledWaterMl } from './samples.ts'
import { sharesAgree } from './shares-agree.ts'

export const LITRES = { from: 0.001, to: 100 } as const
export const CYSTS_G = { from: 0.001, to: 500 } as const
export const WANTED_PRECISION = 0.1

export interface CountInput extends SampledFrom {
  /** Dry cysts that went in. */
  readonly cystsG: number
  /** 1 to 100, of well mixed water. */
  readonly samples: readonly CountSample[]
  /** How close the limits shall be: 0.1 for ±10 %, which it is when left out. 0.01 to 1. */
  readonly wantedPrecision?: number
  /** How far off the samples' volumes may be, all in the same direction: 0 when left out, up to 1. */
  readonly sampleErrorShare?: number
}

/** What a count says. All limits at 95 %. */
export interface CountEstimate {
  /** How many were counted, in all samples. */
  readonly counted: number
  /** In all the water that was sampled: in the whole vessel, or in what was drawn off. */
  readonly nauplii: Interval
  readonly perMl: Interval
  /**
   * Percent; `null` when no sample's unhatched embryos were counted, and of what was drawn off: there the nauplii were parted
   * from what did not hatch.
   */
  readonly hatchPercentage: Interval | null
  readonly naupliiPerG: Interval
  readonly dispersion: Dispersion
  readonly moreSamples: MoreSamples
  /** It all in a few plain sentences. */
  readonly words: string
}

/**
 * How many nauplii there are, from counted samples. Limits are exact Poisson ones (Garwood 1936); where the samples differ more than a
 * mixed vessel's would, wider by what they differ (quasi-Poisson). Litres and grams are taken as exact, and so are the samples' volumes
 * unless `sampleErrorShare` says otherwise. That what was sampled is out of the vessel is left out: it makes the limits a little too wide.
 *
 * @throws CountError for impossible numbers, and for more water in the samples than in the vessel
 */
export function estimateCount(input: CountInput): CountEstimate {
  const {
    litres,
    drawnOffMl,
    cystsG,
    samples,
    wantedPrecision = WANTED_PRECISION,
    sampleErrorShare = 0,
  } = input
  const verb = 'estimate from counts'
  between(verb, 'litres', LITRES.from, LITRES.to, litres)
  between(verb, 'cystsG', CYSTS_G.from, CYSTS_G.to, cystsG)
  between(verb, 'sampleErrorShare', 0, 1, sampleErrorShare)
  if (drawnOffMl !== undefined)
    between(verb, 'drawnOffMl', SAMPLE_ML_AT_LEAST, DRAWN_OFF_ML_AT_MOST, drawnOffMl)
  const pool = poolNauplii(samples)
  const waterMl = sampledWaterMl(input)
  if (pool.ml > waterMl) {
    const whose = drawnOffMl === undefined ? "the vessel's" : 'what was drawn off,'
    throw new CountError(verb, 'samples', `less water than ${whose} ${waterMl} mL`, `${pool.ml} mL`)
  }
  const dispersion = dispersionOf(pool)
  const counted = totalLimits(pool.count, dispersion, CONFIDENCE)
  const perMl = withScaleError(scaled(counted, 1 / pool.ml), sampleErrorShare)
  const nauplii = scaled(perMl, waterMl)
  const naupliiPerG = hatchingEfficiency(nauplii, cystsG)
  const hatchPercentage = drawnOffMl === undefined ? hatchingPercentage(samples) : null
  const more = moreSamples(pool.count, samples.length, dispersion, wantedPrecision, CONFIDENCE)
  return {
    counted: pool.count,
    nauplii,
    perMl,
    hatchPercentage,
    naupliiPerG,
    dispersion,
    moreSamples: more,
    words:
      estimateWords(nauplii, more, dispersion, drawnOffMl === undefined ? 'vessel' : 'drawn-off') +
      sharesAgree(hatchPercentage, naupliiPerG),
  }
}
