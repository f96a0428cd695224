import { z } from '@hono/zod-openapi'
import { Goal, Id, Time } from './schemas.ts'
import { MOST_SALT_GPL } from '../../hatch/recipe/most-salt.ts'

export const Batch = z
  .object({
    id: Id,
    vesselId: Id,
    startedAt: Time,
    endedAt: Time.nullable(),
    litres: z.number(),
    cystsG: z.number(),
    salinityGpl: z.number(),
    lot: z.string().nullable(),
    goal: Goal,
    note: z.string().nullable(),
    vesselName: z.string().optional().openapi({
      description:
        'What its vessel is called, or was before it was put away; told of a batch that is asked for alone.',
    }),
  })
  .openapi('Batch')

export const NewBatch = z
  .object({
    vesselId: Id,
    startedAt: Time.optional().openapi({ description: 'Now when left out; may lie in the past.' }),
    litres: z.number().positive().max(100),
    cystsG: z.number().positive().max(500),
    salinityGpl: z.number().min(0).max(MOST_SALT_GPL),
    lot: z.string().trim().max(80).optional(),
    goal: Goal.optional(),
    note: z.string().max(2000).optional(),
  })
  .strict()
  .openapi('NewBatch')

/** What may be corrected afterwards. */
export const ChangeBatch = z
  .object({
    startedAt: Time.optional(),
    endedAt: Time.optional().openapi({ description: 'Of an ended batch only.' }),
    litres: z.number().positive().max(100).optional(),
    cystsG: z.number().positive().max(500).optional(),
    salinityGpl: z.number().min(0).max(MOST_SALT_GPL).optional(),
    lot: z.string().trim().max(80).nullish(),
    goal: Goal.optional(),
    note: z.string().max(2000).nullish(),
  })
  .strict()
  .openapi('ChangeBatch')

export const EndBatch = z
  .object({ endedAt: Time.optional(), note: z.string().max(2000).optional() })
  .strict()
  .openapi('EndBatch')

export type Batch = z.infer<typeof Batch>
