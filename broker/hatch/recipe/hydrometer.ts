import { within } from './errors.ts'
import { gpkgToGpl, gplToGpkg, salinityAtDensity } from './salinity.ts'
import { brineDensity, EOS80_TO_GPKG, waterDensity } from './seawater.ts'

/**
 * Hydrometers. What a scale shows is a specific gravity: the density of the sample against that of pure water, and both have a
 * temperature, which stands on the paper in the stem: `20/4` is a sample at 20 °C against water at 4 °C. At another temperature
 * the glass has grown, so that the reading R means a density of
 *
 *     R × water(reference) / (1 + 25e-6 × (T - sample))
 *
 * with the conventional cubic expansion of hydrometer glass, ISO 1768:1975. A swing-arm of plastic is no such instrument and has
 * nothing here: its makers compensate it, each in their own way.
 *
 * A published conversion table for aquarium hydrometers that is headed 60/60 °F (23.3 to 30.6 °C, 1.020 to 1.027; 25.0 °C: 1.020
 * is 28.6, 1.025 is 35.2) rises with temperature and with the reading exactly as this does, but lies 0.28 to 0.41 g/kg below
 * 60/60 °F throughout. It is what 17.5/17.5 °C gives, to 0.1 g/kg: the old reference of the hydrographical tables. We
 * keep to what the scale says by definition, and offer 17.5 °C by its own name.
 */
export const BASES = {
  '60/60F': { sampleC: 140 / 9, waterC: 140 / 9, text: '60/60 °F' },
  '15/15': { sampleC: 15, waterC: 15, text: '15/15 °C' },
  '17.5/17.5': { sampleC: 17.5, waterC: 17.5, text: '17.5/17.5 °C' },
  '20/20': { sampleC: 20, waterC: 20, text: '20/20 °C' },
  '25/25': { sampleC: 25, waterC: 25, text: '25/25 °C' },
  '15/4': { sampleC: 15, waterC: 4, text: '15/4 °C' },
  '20/4': { sampleC: 20, waterC: 4, text: '20/4 °C' },
} as const
export type Basis = keyof typeof BASES
export const BASIS_NAMES = Object.keys(BASES) as [Basis, ...Basis[]]

/** Conventional cubic expansion of hydrometer glass, 1/°C: ISO 1768:1975. */
const GLASS = 25e-6

export const HYDROMETER_LIMITS = {
  reading: { from: 0.99, to: 1.1 },
  temperatureC: { from: 0, to: 40 },
} as const
const VERB = 'read hydrometer'

export interface HydrometerSalinity {
  readonly salinityGpkg: number
  readonly salinityGpl: number
  readonly densityKgM3: number
  /** The same reading in brine of plain salt, which is lighter. */
  readonly plainSaltGpkg: number
  readonly plainSaltGpl: number
  /** What the same reading means on the scale that gives the least and the most, g/kg. */
  readonly lowestGpkg: number
  readonly highestGpkg: number
  /** Beyond 42 g/kg the equation of sea water is carried on, not measured. */
  readonly beyondEquation: boolean
}

/**
 * The salinity that a hydrometer shows, for sea salt, at the temperature of the sample in °C. A reading below that of fresh water
 * is a salinity of 0. Brine of plain salt is lighter than sea water of the same strength; see {@link plainSaltGpkg}.
 */
export function readHydrometer(reading: number, basis: Basis, temperatureC: number): HydrometerSalinity {
  within(VERB, 'reading', HYDROMETER_LIMITS.reading, reading)
  within(VERB, 'temperatureC', HYDROMETER_LIMITS.temperatureC, temperatureC)
  const on = (each: Basis) => salinityAtDensity(densityOf(reading, each, temperatureC), temperatureC)
  const all = BASIS_NAMES.map(on)
  const salinityGpkg = on(basis)
  const densityKgM3 = densityOf(reading, basis, temperatureC)
  const plain = plainSaltGpkg(salinityGpkg)
  return {
    salinityGpkg,
    salinityGpl: gpkgToGpl(salinityGpkg, temperatureC),
    densityKgM3,
    plainSaltGpkg: plain,
    plainSaltGpl: (plain * densityKgM3) / 1000,
    lowestGpkg: Math.min(...all),
    highestGpkg: Math.max(...all),
    beyondEquation: salinityGpkg > EOS80_TO_GPKG,
  }
}

/** What a hydrometer of this basis shows in sea water of a salinity in g/kg at a temperature in °C. */
export function hydrometerReading(salinityGpkg: number, basis: Basis, temperatureC: number): number {
  return brineDensity(salinityGpkg, temperatureC) / densityOf(1, basis, temperatureC)
}

/**
 * Brine of plain salt (sodium chloride) is lighter than sea water of the same strength, so a hydrometer shows less than is in it. At
 * 20 °C 1, 4 and 6 % of sodium chloride have 1005.3, 1026.8 and 1041.3 kg/m³ (Poradnik fizykochemiczny, WNT Warszawa 1974), where sea
 * water has 0.9, 3.8 and 5.6 %: the share is 1.07 to 1.06.
 */
const PLAIN_SALT_SHARE = 1.064

/** Plain salt in brine that a hydrometer takes for sea water of some g/kg. */
export function plainSaltGpkg(seaGpkg: number): number {
  return seaGpkg * PLAIN_SALT_SHARE
}

/** The other way: sea water, g/kg, that a hydrometer takes brine of plain salt for, which has some g/L of it. */
export function seaGpkgOfPlainSalt(plainGpl: number, temperatureC: number): number {
  return gplToGpkg(plainGpl / PLAIN_SALT_SHARE, temperatureC)
}

/** The density that a reading stands for, kg/m³. */
function densityOf(reading: number, basis: Basis, temperatureC: number): number {
  const { sampleC, waterC } = BASES[basis]
  return (reading * waterDensity(waterC)) / (1 + GLASS * (temperatureC - sampleC))
}
