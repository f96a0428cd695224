import { saturatedVapourGpm3 } from './water.ts'

/** How fast vapour leaves a surface under a loose lid, m/s; an open one would lose about four times as much; assumed. */
const SURFACE_MPS = 0.0008
/** Surface of one litre in a cone, m2. */
const SURFACE_M2_1L = 0.008

/**
 * Water that leaves the vessel, g/s: bubbles come in as room air and leave saturated at the water's temperature, and the
 * surface gives off some more. Never below zero: dew is left out.
 */
export function evaporationGps(
  waterC: number,
  roomC: number,
  humidity: number,
  airLpm: number,
  litres: number,
): number {
  const missingGpm3 = Math.max(0, saturatedVapourGpm3(waterC) - humidity * saturatedVapourGpm3(roomC))
  const bubblesM3ps = Math.max(0, airLpm) / 60_000
  const surfaceM3ps = SURFACE_MPS * SURFACE_M2_1L * litres ** (2 / 3)
  return missingGpm3 * (bubblesM3ps + surfaceM3ps)
}
