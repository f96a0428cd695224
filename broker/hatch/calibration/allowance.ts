import { COVERAGE } from './uncertainty.ts'

/** A probe that is surer of nothing than this is no reason to call for water that is well, °C. Own choice. */
export const MOST_ALLOWED_C = 1

/**
 * How much below its limit the heat alarm calls for a probe whose readings have this standard uncertainty, °C: the expanded
 * uncertainty (k = 2), never less than nothing and never more than {@link MOST_ALLOWED_C}.
 *
 * A probe that nobody has calibrated has no such figure and gets no allowance. Its maker's ±0.5 °C (DS18B20 datasheet) says how far
 * any one of a whole production may be off, not that this one reads low; the heat limit of the trade is cautious enough to hold for
 * such probes, and half a degree less would call for water that is as it should be.
 */
export function allowedC(uncertaintyC: number | null | undefined): number {
  if (uncertaintyC === null || uncertaintyC === undefined || !(uncertaintyC > 0)) return 0
  return Math.min(COVERAGE * uncertaintyC, MOST_ALLOWED_C)
}
