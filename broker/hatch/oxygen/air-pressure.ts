/** One standard atmosphere, kPa; exact by definition. */
export const STANDARD_KPA = 101.325

/** Over how high a place {@link pressureAtAltitude} answers, m: from below the Dead Sea to the end of the lowest layer. */
export const LOWEST_M = -500
export const HIGHEST_M = 11_000

/**
 * Mean air pressure at an altitude, kPa, by the standard atmosphere (ISO 2533:1975, the same as ICAO Doc 7488): 288.15 K
 * at sea level, 6.5 K less per kilometre, g = 9.80665 m/s², R = 287.05287 J/(kg·K), so the exponent is 5.25588. The weather moves
 * the real pressure by some 3 % to either side.
 *
 * @param altitudeM geopotential metres above the sea, {@link LOWEST_M} to {@link HIGHEST_M}
 * @throws RangeError for any other altitude
 */
export function pressureAtAltitude(altitudeM: number): number {
  if (!(altitudeM >= LOWEST_M && altitudeM <= HIGHEST_M)) {
    throw new RangeError(
      `Cannot reckon air pressure: the altitude must be ${LOWEST_M} to ${HIGHEST_M} m, got ${altitudeM}`,
    )
  }
  const lapse = 0.0065 / 288.15
  const exponent = 9.80665 / (287.05287 * 0.0065)
  return STANDARD_KPA * (1 - lapse * altitudeM) ** exponent
}
