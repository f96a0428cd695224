import type { Band } from '../contract.ts'
import { HOUR_MS } from '../units.ts'
import type { ThermalCase } from './posterior.ts'
import type { ThermalResponse } from './response.ts'
import { roomVarianceAt } from './room-day.ts'
import { FIFTHS, weightedBand } from './weighted-band.ts'

/** A course is only told this far ahead, ms: further out the room's own day decides. Own choice. */
export const COURSE_MS = 6 * HOUR_MS

const NEVER = Infinity
/** Middles of three equal parts of a normal distribution. */
const THIRDS = [-0.967421566101701, 0, 0.967421566101701] as const

/**
 * When the water crosses a limit next, Unix ms, from whichever side it is on now: a limit above it is reached by warming, one below
 * by cooling. `null` is "not on this course": less than half of what is believed of the vessel crosses within
 * {@link COURSE_MS}. Where the later part of the belief does not cross, `p90` is `Infinity`.
 *
 * A heater that cycles crosses with its peak or its trough, not with its mean. The limit is compared with what this probe
 * reads. A crossing that must have happened since the newest reading is given as `nowMs`.
 */
export function timeToLimit(response: ThermalResponse, limitC: number, nowMs: number): Band | null {
  const { asOfMs, levelC, cycle } = response
  if (!Number.isFinite(limitC) || !Number.isFinite(nowMs)) return null
  const upwards = levelC.p50 < limitC
  const halfSwingC = (cycle?.swingC ?? 0) / 2
  const comesToC = upwards ? limitC - halfSwingC : limitC + halfSwingC
  const horizonH = (Math.max(nowMs - asOfMs, 0) + COURSE_MS) / HOUR_MS
  const times = response.cases.flatMap(one => crossings(one, comesToC, upwards, horizonH))
  const crossing = times.reduce((sum, { value, weight }) => sum + (value < NEVER ? weight : 0), 0)
  if (!(crossing >= 0.5)) return null

  const band = weightedBand(times)
  const at = (hours: number) => (hours === NEVER ? NEVER : Math.max(nowMs, asOfMs + hours * HOUR_MS))
  const p50 = at(band.p50)
  if (p50 === NEVER) return null
  return { p10: at(band.p10), p50, p90: at(band.p90) }
}

/** Hours to the crossing in each of fifteen equally likely settings of level and equilibrium, `Infinity` for never. */
function crossings(one: ThermalCase, limitC: number, upwards: boolean, horizonH: number) {
  const { weight, tauH, equilibriumC, equilibriumVar, levelC, levelVar, covariance } = one
  // A room that moves on the way acts with a third of what it has moved by the end.
  const middleH = Math.min(hoursTo(levelC, equilibriumC, limitC, upwards, tauH), horizonH)
  const equilibriumSd = Math.sqrt(Math.max(equilibriumVar, 0) + roomVarianceAt(middleH) / 3)
  const furthestC = equilibriumC + (upwards ? 1 : -1) * FIFTHS[4] * equilibriumSd
  if (upwards ? furthestC <= limitC && levelC <= limitC : furthestC >= limitC && levelC >= limitC) {
    return [{ value: NEVER, weight }]
  }
  const slope = equilibriumVar > 0 ? covariance / equilibriumVar : 0
  const levelSd = Math.sqrt(Math.max(levelVar - slope * covariance, 0))
  return FIFTHS.flatMap(z => {
    const headsToC = equilibriumC + z * equilibriumSd
    return THIRDS.map(y => {
      const fromC = levelC + slope * (headsToC - equilibriumC) + y * levelSd
      const hours = hoursTo(fromC, headsToC, limitC, upwards, tauH)
      return { value: hours <= horizonH ? hours : NEVER, weight: weight / 15 }
    })
  })
}

/** Newton's law of cooling, solved for time. */
function hoursTo(fromC: number, headsToC: number, limitC: number, upwards: boolean, tauH: number): number {
  const side = upwards ? 1 : -1
  if ((limitC - fromC) * side <= 0) return 0
  if ((headsToC - limitC) * side <= 0) return NEVER
  return tauH * Math.log((headsToC - fromC) / (headsToC - limitC))
}
