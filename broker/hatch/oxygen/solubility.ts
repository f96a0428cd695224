import { STANDARD_KPA } from './air-pressure.ts'

/** As far as the equation is carried on, g/kg: see {@link WaterUnderAir}. */
export const MOST_SALINITY_GPKG = 120

export interface WaterUnderAir {
  /** 0 to 40 °C. */
  readonly waterC: number
  /**
   * 0 to 120 g/kg. The equation was fitted up to 40; its logarithm is straight in the salinity, and is carried on along that
   * line to the salinities in which cysts can still take up water.
   */
  readonly salinityGpkg: number
  /** 30 to 110 kPa; one standard atmosphere when left out. */
  readonly pressureKpa?: number
}

/**
 * Oxygen that water holds in balance with moist air, mg/l. Benson & Krause 1984, Limnology and Oceanography 29:620, in the
 * form with T in K and S in g/kg; for another pressure than one atmosphere by their correction
 *
 * C(P) = C(1) · P · (1 - Pw/P)(1 - θP) / ((1 - Pw)(1 - θ)), P in atm
 *
 * with the water vapour's pressure Pw, because only the dry part of the air presses oxygen into the water, and θ for the air
 * not being an ideal gas.
 *
 * @throws RangeError outside the ranges of {@link WaterUnderAir}
 */
export function oxygenSaturation({
  waterC,
  salinityGpkg,
  pressureKpa = STANDARD_KPA,
}: WaterUnderAir): number {
  within('water temperature', waterC, 0, 40, '°C')
  within('salinity', salinityGpkg, 0, MOST_SALINITY_GPKG, 'g/kg')
  within('air pressure', pressureKpa, 30, 110, 'kPa')
  const kelvin = waterC + 273.15
  const atOneAtmosphere = Math.exp(
    -139.34411 +
      1.575701e5 / kelvin -
      6.642308e7 / kelvin ** 2 +
      1.2438e10 / kelvin ** 3 -
      8.621949e11 / kelvin ** 4 -
      salinityGpkg * (1.7674e-2 - 10.754 / kelvin + 2140.7 / kelvin ** 2),
  )
  const pressure = pressureKpa / STANDARD_KPA
  const vapour = vapourPressureKpa(waterC, salinityGpkg) / STANDARD_KPA
  const theta = 9.75e-4 - 1.426e-5 * waterC + 6.436e-8 * waterC ** 2
  return (atOneAtmosphere * ((pressure - vapour) * (1 - theta * pressure))) / ((1 - vapour) * (1 - theta))
}

/**
 * Pressure of water vapour over water, kPa: the fit of Benson & Krause 1984 for fresh water, less 0.0537 % per g/kg of salt
 * (Green & Carritt 1967, Journal of Marine Research 25:140; the figure from memory). 0 to 40 °C.
 */
export function vapourPressureKpa(waterC: number, salinityGpkg: number): number {
  const kelvin = waterC + 273.15
  const fresh = STANDARD_KPA * Math.exp(11.8571 - 3840.7 / kelvin - 216_961 / kelvin ** 2)
  return fresh * (1 - 5.37e-4 * salinityGpkg)
}

function within(what: string, value: number, least: number, most: number, unit: string): void {
  if (value >= least && value <= most) return
  throw new RangeError(
    `Cannot reckon dissolved oxygen: the ${what} must be ${least} to ${most} ${unit}, got ${value}`,
  )
}
