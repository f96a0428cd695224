import { bakingSodaG, Buffer, bufferWords, WaterKind } from './buffer.ts'
import { cystDose, USUAL_CYSTS_GPL } from './cysts.ts'
import { deviationEffects, type Effect } from './effects.ts'
import { within } from './errors.ts'
import { BASIS_NAMES, hydrometerReading, type Basis } from './hydrometer.ts'
import { RECIPE_LIMITS } from './limits.ts'
import { gplToGpkg } from './salinity.ts'
import { saltForBrine, saltForWater } from './salt.ts'
import { brineDensity } from './seawater.ts'
import {
  CYST_SPOON,
  measure,
  SALT_SPOON,
  SODA_SPOON,
  weighedSpoon,
  type Measure,
  type Spoon,
} from './spoons.ts'
import { CAUTIONS, stepsOf, type Caution, type Step } from './steps.ts'
import { USUAL_SALINITY_GPL, USUAL_WATER_C } from './usual.ts'
import { warningsOf, type Warning } from './warnings.ts'

/** What is wanted. All but the litres has a usual value. */
export interface RecipeInput {
  /** Brine in the vessel when it is ready. */
  readonly litres: number
  /** Grams of salt in a litre of brine. */
  readonly salinityGpl?: number
  /** Dry cysts, grams a litre of brine. */
  readonly cystsGpl?: number
  /** Or level teaspoons of them a litre, where no grams are given. */
  readonly cystSpoonsPerL?: number
  /** What the water will have, °C: volumes and hydrometers go by it. */
  readonly waterC?: number
  readonly saltPurity?: number
  readonly saltMoisture?: number
  /** Own spoons, weighed: grams of a level tablespoon of salt, a level teaspoon of cysts and of baking soda. */
  readonly saltSpoonG?: number
  readonly cystSpoonG?: number
  readonly sodaSpoonG?: number
  readonly buffer?: Buffer
  readonly waterKind?: WaterKind
}

/** Something to weigh, and the spoons that come nearest. */
export interface Amount {
  readonly grams: number
  readonly measure: Measure
}

export interface Recipe {
  readonly litres: number
  readonly salinityGpl: number
  readonly salinityGpkg: number
  readonly cystsGpl: number
  readonly waterC: number
  readonly densityKgM3: number
  /** Fresh water that the brine takes, litres. */
  readonly waterL: number
  readonly salt: Amount & {
    /** Grams when the litres are measured as fresh water and the salt goes on top. */
    readonly intoMeasuredWaterG: number
    /** What the salinity becomes by the spoon, g/L: `null` when it is less than a spoon measures. */
    readonly bySpoonGpl: { readonly low: number; readonly high: number } | null
  }
  /** `null` when no baking soda is wanted. */
  readonly buffer: Amount | null
  readonly bufferWords: string
  readonly cysts: Amount & { readonly mostGpl: number }
  /** What a hydrometer shows in this brine, by what stands on its scale. */
  readonly hydrometer: Readonly<Record<Basis, number>>
  readonly steps: readonly Step[]
  readonly warnings: readonly Warning[]
  readonly cautions: readonly Caution[]
  readonly effects: readonly Effect[]
}

const VERB = 'make recipe'

/** The whole list for one vessel. Throws a {@link RecipeError} that names the field for anything beyond {@link RECIPE_LIMITS}. */
export function recipe(input: RecipeInput): Recipe {
  const { litres, buffer: bufferWanted = Buffer.bakingSoda, waterKind = WaterKind.unknown } = input
  const { salinityGpl = USUAL_SALINITY_GPL, waterC = USUAL_WATER_C, saltPurity = 1, saltMoisture = 0 } = input
  const cystSpoon = ownSpoon(CYST_SPOON, 'cystSpoonG', input)
  const cystsGpl = input.cystsGpl ?? spooned(input.cystSpoonsPerL, cystSpoon) ?? USUAL_CYSTS_GPL
  for (const [field, value] of Object.entries({
    litres,
    salinityGpl,
    cystsGpl,
    waterC,
    saltPurity,
    saltMoisture,
  }))
    within(VERB, field, RECIPE_LIMITS[field as keyof typeof RECIPE_LIMITS], value)

  const brine = { litres, salinityGpl, waterC }
  const product = { purity: saltPurity, moisture: saltMoisture }
  const { saltG, waterL } = saltForBrine(brine, product)
  const salt = { grams: saltG, measure: measure(saltG, ownSpoon(SALT_SPOON, 'saltSpoonG', input)) }
  const usable = saltPurity * (1 - saltMoisture)
  const gplOf = (grams: number) => (grams * usable) / litres

  const sodaSpoon = ownSpoon(SODA_SPOON, 'sodaSpoonG', input)
  const sodaG = bufferWanted === Buffer.bakingSoda ? bakingSodaG(litres) : null
  const buffer = sodaG === null ? null : { grams: sodaG, measure: measure(sodaG, sodaSpoon) }

  const { cystsG, mostGpl, tooMany } = cystDose(litres, cystsGpl)
  const cysts = { grams: cystsG, measure: measure(cystsG, cystSpoon), mostGpl }

  const salinityGpkg = gplToGpkg(salinityGpl, waterC)
  return {
    litres,
    salinityGpl,
    salinityGpkg,
    cystsGpl,
    waterC,
    densityKgM3: brineDensity(salinityGpkg, waterC),
    waterL,
    salt: {
      ...salt,
      intoMeasuredWaterG: saltForWater(brine, product),
      bySpoonGpl:
        salt.measure.quarters === 0
          ? null
          : { low: gplOf(salt.measure.lowG), high: gplOf(salt.measure.highG) },
    },
    buffer,
    bufferWords: bufferWords(bufferWanted, waterKind),
    cysts,
    hydrometer: Object.fromEntries(
      BASIS_NAMES.map(basis => [basis, hydrometerReading(salinityGpkg, basis, waterC)]),
    ) as Record<Basis, number>,
    steps: stepsOf({ litres, waterL, salt, buffer, cysts }),
    warnings: warningsOf({ litres, salinityGpl, cystsGpl, waterC, mostGpl, tooMany, buffer: bufferWanted }),
    cautions: CAUTIONS,
    effects: deviationEffects({ litres, salinityGpl, cystsGpl, waterC }),
  }
}

function ownSpoon(
  usual: Spoon,
  field: 'saltSpoonG' | 'cystSpoonG' | 'sodaSpoonG',
  input: RecipeInput,
): Spoon {
  const grams = input[field]
  return grams === undefined ? usual : weighedSpoon(usual, within(VERB, field, RECIPE_LIMITS[field], grams))
}

/** Grams a litre of so many spoons a litre. */
function spooned(spoonsPerL: number | undefined, spoon: Spoon): number | undefined {
  if (spoonsPerL === undefined) return undefined
  return within(VERB, 'cystSpoonsPerL', RECIPE_LIMITS.cystSpoonsPerL, spoonsPerL) * spoon.grams
}
