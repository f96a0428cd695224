import type { Forecast } from '../../broker/web/api/forecast.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import { STOPPED_LPM } from '../words/alarm.ts'
import {
  airCondition,
  lampCondition,
  waterBesideAlarms,
  waterCondition,
  waterLimits,
} from '../words/condition.ts'
import { waterColour } from './colour.ts'
import type { ConePicture } from './cone.ts'
import type { Hatched } from './life.ts'

/** A vessel is never drawn fuller than this, so that its surface shows. */
const BRIM = 0.96

/** What is known of a vessel and the alarms that stand on it, as a picture of it. */
export function pictureOf(
  vessel: Vessel,
  alarms: readonly Alarm[],
  settings: Settings,
  nowMs: number,
  live: boolean,
): ConePicture {
  const water = waterBesideAlarms(waterCondition(vessel, settings, nowMs), alarms)
  const air = airCondition(vessel, settings, nowMs)
  const litres = vessel.batch?.litres ?? vessel.litres
  return {
    filled: vessel.batch ? Math.min(BRIM, Math.max(0.08, vessel.batch.litres / vessel.litres)) : 0,
    colour: waterColour(water.waterC, water.state, waterLimits(settings)),
    airLpmPerLitre:
      air.airLpm === null || air.flowing === null ? null : air.airLpm < STOPPED_LPM ? 0 : air.airLpm / litres,
    airAssigned: vessel.channels.air !== null,
    probeAssigned: vessel.channels.water !== null,
    lit: lampCondition(vessel, settings, nowMs).lit,
    old: !live || water.state === 'silent',
    hatched: vessel.batch ? hatchedOf(vessel.forecast) : null,
  }
}

function hatchedOf(forecast: Forecast | null): Hatched {
  if (!forecast) return { least: 0, share: 0, most: 0, umbrellas: 0 }
  const { p10, p50, p90 } = forecast.hatchedNow
  return { least: p10, share: p50, most: p90, umbrellas: forecast.stagesNow.umbrella.p50 }
}
