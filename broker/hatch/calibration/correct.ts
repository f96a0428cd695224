/** What a sensor's reading is set right with. */
export interface Correction {
  /** Multiplies the measured value; 1 when left out. */
  readonly gain?: number
  /** Added after that, in the unit of the value. */
  readonly offset: number
}

/** The one way from a measured value to the one that is shown, judged and forecast from. What was measured stays as it is. */
export function correct(measured: number, { gain = 1, offset }: Correction): number {
  return gain === 1 ? measured + offset : gain * measured + offset
}

/** The same of what may be missing. */
export function correctOrNull(measured: number | null, correction: Correction): number | null {
  return measured === null ? null : correct(measured, correction)
}
