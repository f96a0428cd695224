import type { ThermalCase } from './posterior.ts'
import type { ThermalResponse } from './response.ts'

/**
 * Most of what turns the water off its course is over within the hour: a door, a hand in the vessel, a lid that was lifted. Minutes after
 * it began a fit cannot tell it from a lamp that died. So where the water will settle is believed as it was seen over the last hour,
 * and not only as it looks now. Own choice.
 */
export const LOOKS_BACK_MS = [15, 30, 45, 60].map(minutes => minutes * 60_000)
/**
 * What was believed then counts as far as the water has borne it out since. So far a passing disturbance moves the water, one standard
 * deviation, °C: a draught of 2 °C that is over in a quarter of an hour takes a litre about that far. Own choice.
 */
const DISTURBED_C = 0.25
/** A belief that is not borne out by so much is let go. */
const LEAST_SHARE = 0.01

/** Where the water was taken to settle at an earlier moment, and where that would have it by now. */
export interface Held {
  readonly cases: readonly Pick<ThermalCase, 'weight' | 'tauH' | 'equilibriumC' | 'equilibriumVar'>[]
  /** °C; `null` where nothing had been measured and so nothing was foretold. */
  readonly foretoldC: number | null
}

/**
 * The response with what was believed at earlier moments beside what is believed now: from the level that the water has now to where
 * it was taken to settle then. Without any it is the response as it is.
 */
export function steadied(response: ThermalResponse, earlier: readonly Held[]): ThermalResponse {
  if (response.cycle !== null) return response
  let levelC = 0
  let square = 0
  for (const one of response.cases) {
    levelC += one.weight * one.levelC
    square += one.weight * (one.levelVar + one.levelC * one.levelC)
  }
  const levelVar = Math.max(square - levelC * levelC, 0)
  const borneOut = earlier
    .map(({ cases, foretoldC }) => ({
      cases,
      share: foretoldC === null ? 1 : Math.exp(-(((foretoldC - levelC) / DISTURBED_C) ** 2) / 2),
    }))
    .filter(({ share }) => share >= LEAST_SHARE)
  const all = borneOut.reduce((sum, { share }) => sum + share, 1)
  const before = borneOut.flatMap(({ cases, share }) =>
    cases.map(({ weight, tauH, equilibriumC, equilibriumVar }) => ({
      weight: (weight * share) / all,
      tauH,
      equilibriumC,
      equilibriumVar,
      levelC,
      levelVar,
      covariance: 0,
      sinceAt: 0,
    })),
  )
  const now = response.cases.map(one => ({ ...one, weight: one.weight / all }))
  return { ...response, cases: [...now, ...before] }
}
