import { correct } from './correct.ts'
import { CalibrationError, CalibrationFault } from './errors.ts'
import { LEAST_READINGS, STEADY_SPREAD_C } from './steady.ts'
import { combined, type Contribution, ofHalfWidth, ofStep } from './uncertainty.ts'

/** What the probe was held against. */
export const ReferenceKind = { ice: 'ice', thermometer: 'thermometer' } as const
export type ReferenceKind = (typeof ReferenceKind)[keyof typeof ReferenceKind]

/** One reference, and what the probe showed in it, at rest. Temperatures in °C. */
export interface CalibrationPoint {
  readonly reference: ReferenceKind
  readonly referenceC: number
  /** The reference is good to ± so much. */
  readonly referencePlusMinusC: number
  /** Mean, standard deviation and number of the probe's readings, as measured. */
  readonly probeC: number
  readonly spreadC: number
  readonly count: number
}

export interface Calibration {
  readonly gain: number
  readonly offset: number
  /** The farthest that the set-right probe is from a reference, °C: 0 where the line goes through all points. */
  readonly residualC: number
  /** Combined standard uncertainty of a set-right reading at {@link WORKING_C}: one standard deviation, GUM section 5. */
  readonly uncertaintyC: number
}

/** Air-saturated water and its ice at 1 atmosphere, °C (Mangum 1995, NIST Technical Note 1411; MSL Technical Guide 1, 2019). */
export const ICE_POINT_C = 0
/**
 * What an ice bath of a kitchen is good to, ± °C. Well made of distilled water it repeats to some thousandths (Mangum 1995); with ice of
 * clean tap water, loosely packed, an own choice on the safe side.
 */
export const ICE_PLUS_MINUS_C = 0.1
/** Where it matters: between the trade's 27 °C and its heat limit of 29.4 °C (common practice, no source). */
export const WORKING_C = 28
/** A DS18B20 at 12 bits steps by so much, °C (its datasheet); a coarser step shows in the spread. */
export const PROBE_STEP_C = 0.0625
/** Farther from its reference than this it is another probe, or not in the bath, °C: ten times a DS18B20's ±0.5 °C. Own choice. */
export const FARTHEST_C = 5
/** Points nearer than this tell no gain: a tenth of a degree of doubt at each would be over a hundredth of gain. Own choice, °C. */
export const APART_C = 10
/** A probe whose gain is off by more is broken, or a point is. Own choice: 1 °C at 30 °C. */
const GAIN_OFF = 1 / 30
/** Points that are set right together and disagree by more contradict each other. Own choice, °C: a DS18B20's whole ±0.5 °C. */
const DISAGREE_C = 0.5
/**
 * Beyond its points a probe's error goes its own way, by up to ± so much for each °C. Own choice: over the 28 °C from ice half of what a
 * DS18B20's datasheet allows.
 */
const WAYWARD = 0.25 / 28
export const MOST_POINTS = 5

/**
 * The line that sets a probe right: through the points by least squares where they are {@link APART_C} apart, else an offset alone.
 * @throws CalibrationError for what no probe does.
 */
export function calibrate(points: readonly CalibrationPoint[], workingC: number = WORKING_C): Calibration {
  points.forEach(check)
  if (points.length === 0 || points.length > MOST_POINTS)
    throw new CalibrationError(
      CalibrationFault.noPoints,
      `Cannot calibrate: take 1 to ${MOST_POINTS} points, got ${points.length}`,
    )
  const probe = points.map(({ probeC }) => probeC)
  const meanC = mean(probe)
  const spread = probe.reduce((sum, one) => sum + (one - meanC) ** 2, 0)
  const referenceC = mean(points.map(point => point.referenceC))
  const isLine = Math.max(...probe) - Math.min(...probe) >= APART_C
  const gain = isLine
    ? points.reduce((sum, point) => sum + (point.probeC - meanC) * point.referenceC, 0) / spread
    : 1
  if (Math.abs(gain - 1) > GAIN_OFF)
    throw new CalibrationError(
      CalibrationFault.badGain,
      `Cannot calibrate: the probe would have to be stretched by ${percent(gain - 1)}, and a sound one needs ${percent(GAIN_OFF)} at most; take the points anew, one at a time`,
    )
  const offset = referenceC - gain * meanC
  const left = points.map(point => point.referenceC - correct(point.probeC, { gain, offset }))
  const residualC = Math.max(...left.map(Math.abs))
  if (residualC > DISAGREE_C)
    throw new CalibrationError(
      CalibrationFault.doNotAgree,
      `Cannot calibrate: the points contradict each other by ${residualC.toFixed(2)} °C; take them anew`,
    )
  // How much of each point is in the line at the working temperature.
  const shares = probe.map(one => {
    const level = 1 / points.length
    return isLine ? level + ((workingC - meanC) * (one - meanC)) / spread : level
  })
  return { gain, offset, residualC, uncertaintyC: uncertainty(points, shares, gain, left, isLine, workingC) }
}

function uncertainty(
  points: readonly CalibrationPoint[],
  shares: readonly number[],
  gain: number,
  left: readonly number[],
  isLine: boolean,
  workingC: number,
): number {
  const step = ofStep(PROBE_STEP_C)
  const parts: Contribution[] = points.flatMap((point, at) => {
    const sensitivity = shares[at] ?? 0
    return [
      {
        sensitivity,
        u: ofHalfWidth(point.referencePlusMinusC),
        // One thermometer is off by the same at all of its points, and so is one kind of ice.
        group: point.reference,
      },
      // Readings that follow each other in one bath are not independent: their spread is not divided by the root of their number (GUM 4.2.7).
      { sensitivity: gain * sensitivity, u: point.spreadC },
      { sensitivity: gain * sensitivity, u: step },
    ]
  })
  // The reading that is set right steps, too.
  parts.push({ sensitivity: gain, u: step })
  const free = points.length - (isLine ? 2 : 1)
  if (free > 0)
    parts.push({ sensitivity: 1, u: Math.sqrt(left.reduce((sum, one) => sum + one * one, 0) / free) })
  const probe = points.map(({ probeC }) => probeC)
  const beyond = isLine
    ? Math.max(0, Math.min(...probe) - workingC, workingC - Math.max(...probe))
    : Math.min(...probe.map(one => Math.abs(one - workingC)))
  parts.push({ sensitivity: 1, u: ofHalfWidth(WAYWARD * beyond) })
  return combined(parts)
}

function check(point: CalibrationPoint, at: number): void {
  const { reference, referenceC, referencePlusMinusC, probeC, spreadC, count } = point
  const all = [referenceC, referencePlusMinusC, probeC, spreadC]
  if (!all.every(Number.isFinite) || referenceC < -5 || referenceC > 60)
    throw new CalibrationError(
      CalibrationFault.badReference,
      `Cannot calibrate: a reference lies between -5 and 60 °C, got ${referenceC}`,
      at,
    )
  if (referencePlusMinusC <= 0 || referencePlusMinusC > 2)
    throw new CalibrationError(
      CalibrationFault.badReference,
      `Cannot calibrate: a reference is good to more than 0 and at most 2 °C either way, got ${referencePlusMinusC}`,
      at,
    )
  const offC = referenceC - probeC
  if (Math.abs(offC) > FARTHEST_C)
    throw new CalibrationError(
      CalibrationFault.tooFar,
      `Cannot calibrate: the probe shows ${probeC.toFixed(1)} °C where ${reference === ReferenceKind.ice ? 'the ice' : 'the thermometer'} is ${referenceC.toFixed(1)} °C; that is probably another probe, or it is not in the bath`,
      at,
    )
  if (count < LEAST_READINGS)
    throw new CalibrationError(
      CalibrationFault.tooFewReadings,
      `Cannot calibrate: it takes ${LEAST_READINGS} readings of the probe at rest, got ${count}; wait for more`,
      at,
    )
  if (spreadC > STEADY_SPREAD_C)
    throw new CalibrationError(
      CalibrationFault.notSteady,
      `Cannot calibrate: the probe still moves, it scatters by ${spreadC.toFixed(2)} °C; stir, and wait until it is at rest`,
      at,
    )
}

const mean = (values: readonly number[]): number => values.reduce((sum, one) => sum + one, 0) / values.length
const percent = (share: number): string => `${(Math.abs(share) * 100).toFixed(1)} %`
