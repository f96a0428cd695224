import { z } from '@hono/zod-openapi'
import { LEAST_BUCKETS } from '../../room/hatch-line.ts'
import { Batch } from './batches.ts'
import { Id } from './schemas.ts'

/** Batches side by side: each with its curves, thinned, and its figures. */

/** So many are compared at once: a season of a few vessels, and what fits a screen as small pictures. */
export const MOST_COMPARED = 40

const ids = z.string().max(100 * MOST_COMPARED)

export const CompareQuery = z
  .object({
    of: ids
      .optional()
      .openapi({ description: `Ids of batches, with commas between; ${MOST_COMPARED} at most.` }),
    lot: z.string().max(100).optional().openapi({ description: 'Without `of`: the newest of this lot.' }),
    vesselId: Id.optional().openapi({ description: 'Without `of`: the newest of this vessel.' }),
    newest: z.coerce.number().int().min(1).max(MOST_COMPARED).default(MOST_COMPARED),
    points: z.coerce.number().int().min(10).max(LEAST_BUCKETS).default(120).openapi({
      description: 'At most so many moments a curve.',
    }),
  })
  .strict()

const Curve = z
  .object({
    s: z.array(z.int()).openapi({ description: 'Seconds since the start of the batch, rising.' }),
    v: z.array(z.number()),
  })
  .openapi('ThinCurve')

export const ComparedBatch = z
  .object({
    batch: Batch,
    vesselName: z.string().nullable(),
    waterC: Curve.nullable(),
    airLpm: Curve.nullable(),
    lightLx: Curve.nullable(),
    hatched: Curve.nullable().openapi({
      description: 'Share of the final number that was out, by the model; null where no water was measured.',
    }),
    soakedS: z.number().openapi({ description: 'When the cysts had taken up water, s after the start.' }),
    t10S: z
      .number()
      .nullable()
      .openapi({ description: 'When a tenth was out, by the model, s after the start.' }),
    t90S: z.number().nullable().openapi({ description: 'When nine tenths were out.' }),
    counted: z
      .object({
        hatchPercentage: z.number().nullable(),
        naupliiPerG: z.number(),
      })
      .nullable()
      .openapi({ description: 'By the count at the harvest, else the last one; null without.' }),
  })
  .openapi('ComparedBatch')

export const Compared = z
  .object({ batches: z.array(ComparedBatch).openapi({ description: 'Oldest first.' }) })
  .openapi('Compared')

export type Compared = z.infer<typeof Compared>
export type ComparedBatch = z.infer<typeof ComparedBatch>
