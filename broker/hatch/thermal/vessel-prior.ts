/** What is known of a vessel's thermal response before it is measured. */

/** A belief about a time constant: log-normal, `lnSd` being the standard deviation of its natural logarithm. */
export interface TauBelief {
  readonly medianH: number
  readonly lnSd: number
}

/**
 * A plain one-litre bottle or cone in still room air nears its balance with about this time constant, h. Own assumption from
 * a heat loss of some 10 W/(m2·K) through wall and surface; no source.
 */
const TAU_ONE_LITRE_H = 1.5
/** Wall, shape, lid, air and stand differ between vessels of one size. Own assumption. */
const LN_SD_OF_ONE_SIZE = 0.35
/** From 0.5 to 20 L by size alone: 1.2 to 4.1 h. Own assumption. */
const ANY_SIZE: TauBelief = { medianH: 2, lnSd: 0.55 }
/** What lies outside is no hatch vessel in a room, h. */
export const TAU_LIMITS_H = { low: 0.2, high: 24 } as const

/**
 * The time constant to expect of a vessel of so many litres, or of any. Heat held grows with the volume and heat lost with the
 * surface, so it grows with the cube root of the litres.
 */
export function expectedTau(litres?: number): TauBelief {
  if (litres === undefined || !(litres > 0 && litres < 1000)) return ANY_SIZE
  return { medianH: TAU_ONE_LITRE_H * Math.cbrt(litres), lnSd: LN_SD_OF_ONE_SIZE }
}

/**
 * Where water in a vessel in a heated room can settle at all, °C. Below: no room where people hatch is colder. Above: a lamp
 * that holds 27 °C stands 5 to 9 °C above its room, and three times that is about 45 °C. What a fit finds outside is held at the
 * edge, because so little of the way there was seen that the far end is arithmetic and not knowledge.
 */
export const BELIEVABLE_C = { low: 5, high: 45 } as const
