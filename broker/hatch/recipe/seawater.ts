/**
 * Density of sea water at the surface, EOS-80: Fofonoff & Millard 1983, UNESCO technical papers in marine science 44,
 * page 22, at no pressure but the air's. Valid from -2 to 40 °C and 0 to 42 g/kg; beyond 42 g/kg it is carried on, which is
 * good enough to weigh salt by (a hundredth at 90 g/kg) and not to measure by.
 *
 * Temperature is on the scale of 1968; the one of 1990 is 0.007 °C lower at 30 °C, which is 0.002 kg/m³ and is left out.
 * Salinity is taken as grams of salt per kilogram of brine. Practical salinity is 0.5 % less (35 for 35.165 g/kg: Millero et al.
 * 2008, Deep-Sea Research I 55:50), far less than anything here can be read.
 */

/** Up to here EOS-80 is a measurement, g/kg. */
export const EOS80_TO_GPKG = 42

// UNESCO 44 from memory, checked against its check values: 999.842594 at 0 °C, 995.65113374 at 30 °C.
const WATER = [999.842594, 6.793952e-2, -9.09529e-3, 1.001685e-4, -1.120083e-6, 6.536332e-9]
// UNESCO 44, the terms in S, S^1.5 and S².
const LINEAR = [8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9]
const MIDDLE = [-5.72466e-3, 1.0227e-4, -1.6546e-6]
const SQUARE = 4.8314e-4

/** Density of pure water, kg/m³, at a temperature in °C. */
export function waterDensity(waterC: number): number {
  return polynomial(WATER, waterC)
}

/** Density of sea water, kg/m³, at a salinity in g/kg and a temperature in °C. */
export function brineDensity(salinityGpkg: number, waterC: number): number {
  const s = salinityGpkg
  return (
    waterDensity(waterC) +
    polynomial(LINEAR, waterC) * s +
    polynomial(MIDDLE, waterC) * s ** 1.5 +
    SQUARE * s * s
  )
}

function polynomial(coefficients: readonly number[], x: number): number {
  return coefficients.reduceRight((sum, coefficient) => sum * x + coefficient, 0)
}
