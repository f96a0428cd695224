/**
 * How far a room with its day, its weather and its doors moves where a vessel's water settles. Own assumption: indoors the
 * temperature of a day stays within about ±1.2 °C, and forgets itself within some hours.
 */
const ROOM_SD_C = 0.8
const ROOM_FORGETS_H = 8

/** Variance of the equilibrium that comes in so many hours ahead, °C². */
export function roomVariance(hours: number): number {
  return hours > 0 ? ROOM_SD_C ** 2 * -Math.expm1((-2 * hours) / ROOM_FORGETS_H) : 0
}

/** What of it has reached the water of a vessel by then, °C²: a slow vessel takes a third of it while it comes, all in the end. */
export function roomVarianceInWater(hours: number, tauH: number): number {
  if (!(hours > 0)) return 0
  return roomVariance(hours) * Math.expm1(-hours / tauH) ** 2
}
