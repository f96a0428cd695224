/** Why a calibration cannot be made of what was measured. */
export const CalibrationFault = {
  /** The probe is so far from the reference that it is another probe, or not where the reference is. */
  tooFar: 'too-far',
  /** The line through the points is steeper or flatter than any probe's. */
  badGain: 'bad-gain',
  /** The points contradict each other. */
  doNotAgree: 'do-not-agree',
  /** The probe was still moving. */
  notSteady: 'not-steady',
  tooFewReadings: 'too-few-readings',
  badReference: 'bad-reference',
  noPoints: 'no-points',
} as const
export type CalibrationFault = (typeof CalibrationFault)[keyof typeof CalibrationFault]

/** The calibration is refused; the message says what was found and what to do. */
export class CalibrationError extends Error {
  override readonly name = 'CalibrationError'
  readonly fault: CalibrationFault
  /** Which point is at fault, from 0; `null` for all of them together. */
  readonly point: number | null
  constructor(fault: CalibrationFault, message: string, point: number | null = null) {
    super(message)
    this.fault = fault
    this.point = point
  }
}
