import { salinityGpkg } from './water.ts'

/**
 * Oxygen that water at `waterC` holds in balance with air at one atmosphere, mg/l.
 * Benson & Krause 1984, Limnology and Oceanography 29:620, in the form with salinity in g/kg.
 */
export function oxygenSaturationMgpl(waterC: number, salinityGpl: number): number {
  const kelvin = waterC + 273.15
  const salinity = salinityGpkg(salinityGpl)
  return Math.exp(
    -139.34411 +
      1.575701e5 / kelvin -
      6.642308e7 / kelvin ** 2 +
      1.2438e10 / kelvin ** 3 -
      8.621949e11 / kelvin ** 4 -
      salinity * (1.7674e-2 - 10.754 / kelvin + 2140.7 / kelvin ** 2),
  )
}

/**
 * How fast bubbles bring the water to saturation, per hour. `vvm` is litres of air a minute per litre of water. Coarse
 * bubbles from an open tube; the power of 0.8 is usual for bubble columns (from memory), the factor is our assumption.
 */
export function bubbleTransferPerH(vvm: number): number {
  return vvm <= 0 ? 0 : 26 * vvm ** 0.8
}

/** Through a still surface into the top layer, per hour; assumed. */
export const SURFACE_TRANSFER_PER_H = 0.3

/** Below about this, mg/l, animals can no longer take what they want; assumed. */
const HALF_UPTAKE_MGPL = 0.3

/**
 * Oxygen after `stepH` hours of transfer and demand. Semi-implicit: stable at any step, and never below zero.
 *
 * @param demandMgplH what the animals would take from plenty, mg per litre and hour
 */
export function oxygenAfter(
  oxygenMgpl: number,
  saturationMgpl: number,
  transferPerH: number,
  demandMgplH: number,
  stepH: number,
): number {
  const uptakePerH = demandMgplH / (oxygenMgpl + HALF_UPTAKE_MGPL)
  return (oxygenMgpl + stepH * transferPerH * saturationMgpl) / (1 + stepH * (transferPerH + uptakePerH))
}
