import { z } from '@hono/zod-openapi'
import { Mixing } from '../../hatch/counts/dispersion.ts'
import { CYSTS_G, LITRES, WANTED_PRECISION } from '../../hatch/counts/estimate.ts'
import { FINEST_PRECISION, MORE_AT_MOST } from '../../hatch/counts/precision.ts'
import { SAMPLES_AT_MOST } from '../../hatch/counts/samples.ts'
import { CountSample, DrawnOffMl } from './events.ts'

export const CountRequest = z
  .object({
    litres: z.number().min(LITRES.from).max(LITRES.to).openapi({ description: 'Water in the vessel.' }),
    drawnOffMl: DrawnOffMl.optional(),
    cystsG: z.number().min(CYSTS_G.from).max(CYSTS_G.to).openapi({ description: 'Dry cysts that went in.' }),
    samples: z.array(CountSample).min(1).max(SAMPLES_AT_MOST),
    wantedPrecision: z.number().min(FINEST_PRECISION).max(1).default(WANTED_PRECISION).openapi({
      description: 'How close the limits shall lie to the best: 0.1 for ±10 %.',
    }),
    sampleErrorShare: z.number().min(0).max(1).default(0).openapi({
      description:
        'How far off the samples’ volumes may be, all the same way: 0.25 for drops of any dropper.',
    }),
  })
  .strict()
  .openapi('CountRequest')

const CountInterval = z
  .object({ low: z.number(), best: z.number(), high: z.number() })
  .openapi('CountInterval', { description: 'The best estimate, and limits that hold the truth at 95 %.' })

export const CountEstimate = z
  .object({
    counted: z.int().openapi({ description: 'Nauplii counted in all samples together.' }),
    nauplii: CountInterval.openapi({ description: 'In the whole vessel, or in what was drawn off.' }),
    perMl: CountInterval,
    hatchPercentage: CountInterval.nullable().openapi({
      description:
        'Null when no sample’s unhatched embryos were counted, and of what was drawn off: it was parted from them.',
    }),
    naupliiPerG: CountInterval.openapi({ description: 'Out of each gram of dry cysts.' }),
    dispersion: z.object({
      index: z.number().nullable().openapi({
        description:
          'How many times as much the samples differ as those of a mixed vessel; null when it cannot be told.',
      }),
      p: z.number().nullable().openapi({ description: 'How often a mixed vessel’s samples differ so much.' }),
      verdict: z.enum(Mixing),
    }),
    moreSamples: z.object({
      n: z
        .int()
        .nullable()
        .openapi({
          description: `Null when nothing was counted, or when it would take more than ${MORE_AT_MOST}.`,
        }),
      forPrecision: z.number(),
    }),
    words: z.string().openapi({ example: '96,000-121,000 nauplii; one more sample for ±10 %.' }),
  })
  .openapi('CountEstimate')
export type CountEstimate = z.infer<typeof CountEstimate>
