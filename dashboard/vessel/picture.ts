import type { Settings, Vessel } from '../../broker/web/api/schemas.ts'
import { airCondition, lampCondition, waterCondition, waterLimits } from '../words/condition.ts'
import { waterColour } from './colour.ts'
import type { ConePicture } from './cone.ts'

/** A vessel is never drawn fuller than this, so that its surface shows. */
const BRIM = 0.96

/** What is known of a vessel, as a picture of it. */
export function pictureOf(vessel: Vessel, settings: Settings, nowMs: number, live: boolean): ConePicture {
  const water = waterCondition(vessel, settings, nowMs)
  const air = airCondition(vessel, settings)
  const litres = vessel.batch?.litres ?? vessel.litres
  return {
    filled: vessel.batch ? Math.min(BRIM, Math.max(0.08, vessel.batch.litres / vessel.litres)) : 0,
    colour: waterColour(water.waterC, water.state, waterLimits(settings)),
    airLpmPerLitre: air.airLpm === null ? null : air.flowing === true ? air.airLpm / litres : 0,
    airAssigned: vessel.channels.air !== null,
    probeAssigned: vessel.channels.water !== null,
    lit: lampCondition(vessel, settings).lit,
    old: !live || water.state === 'silent',
    hatchedShare: vessel.batch ? (vessel.forecast?.hatchedNow.p50 ?? 0) : null,
  }
}
