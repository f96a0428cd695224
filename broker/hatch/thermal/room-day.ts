/** A room's warmest hour is so far above its mean, and its coldest as far below, °C. Own assumption: rooms people live in swing by ±1 °C. */
const DAY_SWING_C = 1
const DAY_H = 24
/** Doors, people and a heating's own to and fro, °C, and how soon they come and go, h. Own assumption. */
const RESTLESS_SD_C = 0.35
const RESTLESS_H = 1

/**
 * Variance of what a room's day does to where a vessel settles, so many hours ahead, °C²: for a daily wave of which the phase is
 * not known, swing² × (1 - cos), which is most half a day ahead. A day ahead the room is as it is now, but for its weather, so
 * it is left at its most.
 */
export function roomVarianceAt(hours: number): number {
  return variance(Math.min(hours, DAY_H / 2))
}

/**
 * The same for the level as a whole from now until then, as the sum over the hours feels it: what the afternoon adds the night takes
 * back, so it grows for a quarter of a day only.
 */
export function roomVarianceUntil(hours: number): number {
  return variance(Math.min(hours, DAY_H / 4))
}

/** What of an equilibrium's variance has reached the water of a vessel: a share, 0 to 1. */
export function shareInWater(hours: number, tauH: number): number {
  return hours > 0 ? Math.expm1(-hours / tauH) ** 2 : 0
}

function variance(hours: number): number {
  if (!(hours > 0)) return 0
  const day = DAY_SWING_C ** 2 * (1 - Math.cos((2 * Math.PI * hours) / DAY_H))
  return day - RESTLESS_SD_C ** 2 * Math.expm1(-hours / RESTLESS_H)
}
