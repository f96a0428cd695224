import { z } from '@hono/zod-openapi'
import { Id, Time } from './schemas.ts'

/** Batches that travel: one file each, and those that were brought in. */

export const HandoverQuery = z.object({
  names: z.enum(['true', 'false']).default('true').openapi({
    description: 'With false, who did what is left out.',
  }),
  photos: z
    .enum(['true', 'false'])
    .default('false')
    .openapi({ description: 'With true, photos come along.' }),
})

export const BringQuery = z.object({
  as: z.enum(['guest', 'copy', 'own']).default('guest').openapi({
    description:
      'guest: it stands beside the books, and nothing here hangs on it. copy: the same, under an id of its own, so that it may be of a batch that is here already. own: it is taken into the books as if it had been here, in a vessel that was put away since; its lot learns from it.',
  }),
})

export const BroughtIn = z
  .object({
    at: Time.openapi({ description: 'When it was brought in.' }),
    by: z.string(),
    writtenAt: Time,
    writtenBy: z.string().openapi({ example: 'brinewatch 0.1.0' }),
    names: z.boolean().openapi({ description: 'false: who did what was left out of the file.' }),
  })
  .openapi('BroughtIn')
export type BroughtIn = z.infer<typeof BroughtIn>

export const GuestBatch = z
  .object({
    id: Id,
    vesselName: z.string(),
    startedAt: Time,
    endedAt: Time.nullable(),
    litres: z.number(),
    cystsG: z.number(),
    salinityGpl: z.number(),
    lot: z.string().nullable(),
    bytes: z.int(),
    broughtIn: BroughtIn,
  })
  .openapi('GuestBatch')
export type GuestBatch = z.infer<typeof GuestBatch>
export const GuestList = z.object({ batches: z.array(GuestBatch) })

export const Brought = z
  .object({
    batchId: Id,
    isNew: z
      .boolean()
      .openapi({ description: 'false: the same was brought in before, and nothing changed.' }),
  })
  .openapi('Brought')
