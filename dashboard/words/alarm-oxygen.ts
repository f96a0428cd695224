import { pressureAtAltitude } from '../../broker/hatch/oxygen/air-pressure.ts'
import { oxygenLasts, oxygenLeft } from '../../broker/hatch/oxygen/minutes-left.ts'
import type { Alarm, Forecast, Settings, Vessel } from '../../broker/web/api/schemas.ts'
import { airCondition } from './condition.ts'
import { duration, exactly, moment, type Zone } from './time.ts'

/** How long the oxygen of a vessel without air lasts, counted from when the air went. */
export interface OxygenCourse {
  /** When it may be down to where harm is feared, Unix ms: with nauplii the soonest that is likely, before them the middle. */
  readonly untilMs: number
  readonly nauplii: boolean
}

const NONE_OUT = { p10: 0, p50: 0, p90: 0 }
const WITH_NAUPLII: readonly Forecast['stage'][] = ['hatching', 'harvest', 'overdue']

/** `null` where nothing is known of the water, or nothing in it takes oxygen. The same reckoning as the alarm's own words. */
export function oxygenCourse(alarm: Alarm, vessel: Vessel, settings: Settings): OxygenCourse | null {
  const { batch, forecast, latest } = vessel
  if (!batch) return null
  const measuredC = latest.waterC?.quality === 'good' ? latest.waterC.value : null
  const waterC = measuredC ?? forecast?.expectedWaterC.p50
  if (waterC === undefined) return null
  const known = forecast
    ? { hatched: outOfShell(forecast), naupliiPerG: perGram(forecast, batch.cystsG) }
    : { hatched: NONE_OUT }
  const left = oxygenLeft({
    cystsGpl: batch.cystsG / batch.litres,
    waterC,
    salinityGpl: batch.salinityGpl,
    pressureKpa: pressureAtAltitude(settings.altitudeM),
    ...known,
  })
  const nauplii = forecast !== null && WITH_NAUPLII.includes(forecast.stage)
  const minutes = oxygenLasts(left, nauplii)
  // It went before it was called for, by the rule's own delay.
  const wentMs = Date.parse(alarm.raisedAt) - settings.rules['air-lost'].onDelayS * 1000
  return minutes === null ? null : { untilMs: wentMs + minutes * 60_000, nauplii }
}

/** What takes the place of the time that is left once there is air again: empty while there is not. */
export function airIsBack(vessel: Vessel, settings: Settings, nowMs: number): string {
  const { flowing, airLpm } = airCondition(vessel, settings, nowMs)
  const { limit, deadband, offDelayS } = settings.rules['air-lost']
  const backLpm = (limit + deadband) * (vessel.batch?.litres ?? vessel.litres)
  if (flowing !== true || airLpm === null || airLpm < backLpm) return ''
  return `Air is back; the alarm ends once that has lasted ${exactly(offDelayS * 1000)}`
}

/** Till when, and how long that is yet: `Oxygen until about 03:31, 12 min`. */
export function oxygenText({ untilMs, nauplii }: OxygenCourse, nowMs: number, zone: Zone): string {
  const at = moment(untilMs, nowMs, zone)
  const leftMs = untilMs - nowMs
  const lasts =
    leftMs > 0 ? `Oxygen until about ${at}, ${counted(leftMs)}` : `Oxygen may be used up since ${at}`
  return nauplii ? lasts : `${lasts}: a delay, not a loss`
}

/** Seconds only at the end: a figure that is about right does not run. */
const counted = (ms: number): string =>
  ms >= 120_000 ? duration(Math.floor(ms / 60_000) * 60_000) : `${Math.ceil(ms / 1000)} s`

function outOfShell({ hatchedNow, stagesNow: { umbrella } }: Forecast) {
  const share = (one: number, other: number) => Math.min(Math.max(one + other, 0), 1)
  return {
    p10: share(hatchedNow.p10, umbrella.p10),
    p50: share(hatchedNow.p50, umbrella.p50),
    p90: share(hatchedNow.p90, umbrella.p90),
  }
}

function perGram({ nauplii }: Forecast, cystsG: number) {
  return { p10: nauplii.p10 / cystsG, p50: nauplii.p50 / cystsG, p90: nauplii.p90 / cystsG }
}
