import type { ThermalCase } from './posterior.ts'

/** A case as it is some time on, with nothing measured in between. */
export function later(one: ThermalCase, hours: number): ThermalCase {
  if (!(hours > 0)) return one
  const keep = Math.exp(-hours / one.tauH)
  const lost = 1 - keep
  return {
    ...one,
    levelC: keep * one.levelC + lost * one.equilibriumC,
    levelVar:
      keep * keep * one.levelVar + 2 * keep * lost * one.covariance + lost * lost * one.equilibriumVar,
    covariance: keep * one.covariance + lost * one.equilibriumVar,
  }
}
