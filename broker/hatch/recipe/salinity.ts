import { brineDensity } from './seawater.ts'

/** Beyond this nothing here is asked, g/kg. */
const MOST_GPKG = 150
/** Each halving gains a binary digit: these are enough for all that a number holds. */
const HALVINGS = 60

/** Grams of salt in a litre of brine, from grams in a kilogram of it, at a temperature in °C. */
export function gpkgToGpl(salinityGpkg: number, waterC: number): number {
  return (salinityGpkg * brineDensity(salinityGpkg, waterC)) / 1000
}

/** Grams of salt in a kilogram of brine, from grams in a litre of it, at a temperature in °C. */
export function gplToGpkg(salinityGpl: number, waterC: number): number {
  return solve(gpkg => gpkgToGpl(gpkg, waterC), salinityGpl)
}

/** The salinity, g/kg, at which sea water has a density in kg/m³; 0 for anything lighter than fresh water. */
export function salinityAtDensity(densityKgM3: number, waterC: number): number {
  return solve(gpkg => brineDensity(gpkg, waterC), densityKgM3)
}

/** Where a rising function of salinity reaches a value, g/kg, between 0 and {@link MOST_GPKG}. */
function solve(rising: (gpkg: number) => number, wanted: number): number {
  if (!(wanted > rising(0))) return 0
  let low = 0
  let high = MOST_GPKG
  for (let i = 0; i < HALVINGS; i++) {
    const middle = (low + high) / 2
    if (rising(middle) < wanted) low = middle
    else high = middle
  }
  return (low + high) / 2
}
