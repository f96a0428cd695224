import { pressureAtAltitude } from '../../broker/hatch/oxygen/air-pressure.ts'
import { oxygenLasts, oxygenLeft } from '../../broker/hatch/oxygen/minutes-left.ts'
import { plainMinutes } from '../../broker/hatch/plain-minutes.ts'
import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
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
export function oxygenText(course: OxygenCourse, nowMs: number, zone: Zone): string {
  const lasts = oxygenLasting(course, nowMs, zone)
  return course.nauplii ? lasts : `${lasts}: a delay, not a loss`
}

function oxygenLasting({ untilMs }: OxygenCourse, nowMs: number, zone: Zone): string {
  const at = moment(untilMs, nowMs, zone)
  const leftMs = untilMs - nowMs
  return leftMs > 0 ? `Oxygen until about ${at}, ${counted(leftMs)}` : `Oxygen may be used up since ${at}`
}

/** The same of a vessel as it stands; empty where it is not known, or where there is air again. */
export function oxygenLeftText(
  alarm: Alarm,
  vessel: Vessel,
  settings: Settings,
  nowMs: number,
  zone: Zone,
): string {
  const course = airIsBack(vessel, settings, nowMs) === '' ? oxygenCourse(alarm, vessel, settings) : null
  return course === null ? '' : oxygenLasting(course, nowMs, zone)
}

/** The same where there is time for more than the next thing to do: before the hatch, with an hour and more. Else empty. */
export function unhurriedText(...of: Parameters<typeof oxygenLeftText>): string {
  const [alarm, vessel, settings, nowMs] = of
  const course = oxygenCourse(alarm, vessel, settings)
  return course === null || course.nauplii || course.untilMs - nowMs < HOUR_MS ? '' : oxygenLeftText(...of)
}
const HOUR_MS = 3_600_000

/** How long it was to last when the alarm was told is no longer so later: `now` takes its place, where there is one. */
export function withOxygen(text: string, now: string): string {
  return now === ''
    ? text
    : text.replace(LASTS_BEFORE_HATCH, `${now}.`).replace(LASTS_FOR_NAUPLII, `. ${now}.`)
}
/** As `broker/rules/nauplii.ts` says it. */
const LASTS_BEFORE_HATCH = /The oxygen lasts about (?:[^.]|\.(?=\d))*\./
const LASTS_FOR_NAUPLII = /: about (?:[^.]|\.(?=\d))* for this vessel(?:[^.]|\.(?=\d))*\./

/** Seconds only at the end, half hours where there are many: a figure that is about right does not run. */
function counted(ms: number): string {
  if (ms < 120_000) return `${Math.ceil(ms / 1000)} s`
  const minutes = Math.floor(ms / 60_000)
  return minutes < MANY_MIN ? duration(minutes * 60_000) : `${plainMinutes(minutes) / 60} h`
}
const MANY_MIN = 180

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
