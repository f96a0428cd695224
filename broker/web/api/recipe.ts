import { z } from '@hono/zod-openapi'
import { Buffer, WaterKind } from '../../hatch/recipe/buffer.ts'
import { Direction } from '../../hatch/recipe/effects.ts'
import type { Limits } from '../../hatch/recipe/errors.ts'
import { BASIS_NAMES, HYDROMETER_LIMITS } from '../../hatch/recipe/hydrometer.ts'
import { RECIPE_LIMITS } from '../../hatch/recipe/limits.ts'

/** A number in a query, within the same limits as the model's own. */
function number({ above, from, to }: Limits, description: string) {
  const upTo = z.coerce.number().max(to)
  const bounded = above === undefined ? upTo.min(from ?? -to) : upTo.gt(above)
  return bounded.openapi({ description })
}

export const RecipeQuery = z.object({
  litres: number(RECIPE_LIMITS.litres, 'Brine in the vessel when it is ready.'),
  salinityGpl: number(
    RECIPE_LIMITS.salinityGpl,
    'Grams of salt in a litre of brine; 25 when left out.',
  ).optional(),
  cystsGpl: number(
    RECIPE_LIMITS.cystsGpl,
    'Dry cysts, grams a litre of brine; 1.5 when left out.',
  ).optional(),
  cystSpoonsPerL: number(
    RECIPE_LIMITS.cystSpoonsPerL,
    'Or level teaspoons of them a litre; not looked at beside cystsGpl.',
  ).optional(),
  waterC: number(RECIPE_LIMITS.waterC, 'What the water will have; 27 when left out.').optional(),
  saltPurity: number(RECIPE_LIMITS.saltPurity, 'Share of the dry product that is salt.').optional(),
  saltMoisture: number(
    RECIPE_LIMITS.saltMoisture,
    'Share of the product, as weighed, that is water.',
  ).optional(),
  saltSpoonG: number(RECIPE_LIMITS.saltSpoonG, 'Own level tablespoon of salt, weighed.').optional(),
  cystSpoonG: number(RECIPE_LIMITS.cystSpoonG, 'Own level teaspoon of cysts, weighed.').optional(),
  sodaSpoonG: number(RECIPE_LIMITS.sodaSpoonG, 'Own level teaspoon of baking soda, weighed.').optional(),
  buffer: z.enum(Buffer).optional().openapi({ description: 'baking-soda when left out.' }),
  waterKind: z.enum(WaterKind).optional().openapi({ description: "The tap's water; changes words alone." }),
})

const Measure = z
  .object({
    size: z.enum(['tablespoon', 'teaspoon']),
    quarters: z.number().openapi({
      description: 'Quarters of a level spoon, 0.5 for an eighth; 0 when it has to be weighed.',
    }),
    grams: z.number(),
    lowG: z.number(),
    highG: z.number(),
  })
  .openapi('Measure')
const amount = { grams: z.number(), measure: Measure }
const Words = z.object({ id: z.string(), words: z.string() })

export const Recipe = z
  .object({
    litres: z.number(),
    salinityGpl: z.number(),
    salinityGpkg: z.number(),
    cystsGpl: z.number(),
    waterC: z.number(),
    densityKgM3: z.number(),
    waterL: z.number().openapi({ description: 'Fresh water that the brine takes.' }),
    salt: z.object({
      ...amount,
      intoMeasuredWaterG: z.number().openapi({
        description: 'When the litres are measured as fresh water and the salt goes on top of them.',
      }),
      bySpoonGpl: z.object({ low: z.number(), high: z.number() }).nullable(),
    }),
    buffer: z.object(amount).nullable(),
    bufferWords: z.string(),
    cysts: z.object({ ...amount, mostGpl: z.number() }),
    hydrometer: z.record(z.enum(BASIS_NAMES), z.number()).openapi({
      description: 'What a hydrometer shows in this brine at waterC, by what stands on its scale.',
    }),
    steps: z.array(Words),
    warnings: z.array(Words.extend({ field: z.string() })),
    cautions: z.array(Words),
    effects: z.array(
      Words.extend({
        when: z.string(),
        direction: z.enum(Direction),
        from: z.number().nullable(),
        to: z.number().nullable(),
        source: z.string().nullable(),
        applies: z.boolean().openapi({ description: 'It concerns what was asked for.' }),
      }),
    ),
  })
  .openapi('Recipe')

export const HydrometerQuery = z.object({
  reading: number(HYDROMETER_LIMITS.reading, 'Specific gravity, as read at the surface.'),
  basis: z.enum(BASIS_NAMES).openapi({ description: 'What stands on the paper scale: sample over water.' }),
  temperatureC: number(HYDROMETER_LIMITS.temperatureC, 'The sample’s temperature.'),
})

export const Hydrometer = z
  .object({
    salinityGpkg: z.number(),
    salinityGpl: z.number(),
    densityKgM3: z.number(),
    plainSaltGpkg: z
      .number()
      .openapi({ description: 'The same reading in brine of plain salt, which is lighter.' }),
    plainSaltGpl: z.number(),
    lowestGpkg: z.number().openapi({ description: 'What the reading means on the scale that gives least.' }),
    highestGpkg: z.number(),
    beyondEquation: z.boolean().openapi({ description: 'Saltier than the equation of sea water holds for.' }),
  })
  .openapi('Hydrometer')
