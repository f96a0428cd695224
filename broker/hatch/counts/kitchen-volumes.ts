import { CountError, moreThanNone, wholeNumber } from './errors.ts'

/**
 * Small volumes without a pipette. Each is told with how far off it may be, as a share of it: what `sampleErrorShare` of an estimate
 * takes. No statistics library is needed here, so a page may use it by itself.
 */
export interface SmallVolume {
  readonly ml: number
  /** 0.1 for ±10 %. */
  readonly errorShare: number
}

/** How many of a dropper's drops make a millilitre. */
export interface Dropper {
  readonly dropsPerMl: number
  readonly errorShare: number
}

/** A dropper that was never measured: 20 drops a millilitre, and up to a quarter off (common practice, no source). */
export const ANY_DROPPER: Dropper = { dropsPerMl: 20, errorShare: 0.25 }

/**
 * A dropper whose drops were counted into something that holds a known volume. It is off by the half drop that is not seen and by the
 * measure's own error.
 *
 * @param drops at least 10: fewer say less than {@link ANY_DROPPER}
 * @param measureErrorShare of the measure, 0.05 for a usual syringe (common practice, no source)
 */
export function measuredDropper(drops: number, ml: number, measureErrorShare = 0.05): Dropper {
  const verb = 'measure a dropper'
  wholeNumber(verb, 'drops', 10_000, drops)
  if (drops < 10) throw new CountError(verb, 'drops', 'at least 10', drops)
  moreThanNone(verb, 'ml', 1000, ml)
  return { dropsPerMl: drops / ml, errorShare: Math.hypot(0.5 / drops, measureErrorShare) }
}

/** The volume of some drops. */
export function dropsAsMl(drops: number, dropper: Dropper = ANY_DROPPER): SmallVolume {
  const verb = 'turn drops into millilitres'
  wholeNumber(verb, 'drops', 10_000, drops)
  moreThanNone(verb, 'drops', 10_000, drops)
  return { ml: drops / dropper.dropsPerMl, errorShare: dropper.errorShare }
}

/**
 * What a syringe holds when it is read to half a line. Emptied to the end it was read once, from one line to another twice.
 *
 * @param lineMl millilitres from one line to the next: 0.1 on many syringes of 5 ml
 */
export function syringeMl(ml: number, lineMl: number, readings: 1 | 2 = 1): SmallVolume {
  const verb = 'read a syringe'
  moreThanNone(verb, 'ml', 1000, ml)
  moreThanNone(verb, 'line', ml, lineMl)
  return { ml, errorShare: (Math.sqrt(readings) * lineMl) / 2 / ml }
}
