import { z } from '@hono/zod-openapi'
import { BandOfNumbers, Id, Time } from './schemas.ts'

/** What a person saw or did with a batch, and what is known of a lot from it. */

const By = z.string().trim().min(1).max(80)
const whenAndWho = {
  at: Time.optional().openapi({ description: 'When it was so; now when left out.' }),
  by: By.optional().openapi({ description: 'Who saw it; the signed-in person when left out.' }),
}
const Counted = z.int().min(0).max(1_000_000)

/** One sample under the lens. */
export const CountSample = z
  .object({
    sampleMl: z.number().positive().max(1000).openapi({ description: 'Millilitres that were counted.' }),
    dilution: z.number().min(1).max(10_000).optional().openapi({
      description: 'How many times the vessel’s water was diluted before; 1 when left out.',
    }),
    nauplii: Counted,
    umbrella: Counted.optional(),
    embryos: Counted.optional().openapi({ description: 'Full cysts that have not hatched.' }),
  })
  .strict()
  .openapi('CountSample')

const FirstSwimmers = z.object({ kind: z.literal('first-swimmers') })
const Count = z.object({
  kind: z.literal('count'),
  harvest: z.boolean().default(false).openapi({ description: 'Counted at the harvest.' }),
  samples: z.array(CountSample).min(1).max(100),
})
const Note = z.object({ kind: z.literal('note'), text: z.string().trim().min(1).max(2000) })

export const NewBatchEvent = z
  .discriminatedUnion('kind', [
    FirstSwimmers.extend(whenAndWho).strict(),
    Count.extend(whenAndWho).strict(),
    Note.extend(whenAndWho).strict(),
  ])
  .openapi('NewBatchEvent')

const kept = {
  id: Id,
  batchId: Id,
  at: Time,
  recordedAt: Time,
  by: z.string(),
  withdrawnAt: Time.nullable().openapi({ description: 'Set when it was a mistake: it counts no more.' }),
}
const VesselEstimate = z
  .object({ low: z.number(), best: z.number(), high: z.number(), words: z.string() })
  .openapi({ description: 'How many nauplii the vessel holds, with limits that hold the truth at 95 %.' })
export const BatchEvent = z
  .discriminatedUnion('kind', [
    FirstSwimmers.extend(kept),
    Count.extend({ ...kept, estimate: VesselEstimate.nullable() }),
    Note.extend(kept),
  ])
  .openapi('BatchEvent')
export const BatchEventList = z.object({ events: z.array(BatchEvent) }).openapi('BatchEventList')
export const EventById = z.object({
  id: Id.openapi({ param: { name: 'id', in: 'path' } }),
  eventId: Id.openapi({ param: { name: 'eventId', in: 'path' } }),
})

/** How a batch goes and will go, in columns for drawing. */
const BandColumns = z.object({
  p10: z.array(z.number().nullable()),
  p50: z.array(z.number().nullable()),
  p90: z.array(z.number().nullable()),
})
export const Course = z
  .object({
    t: z.array(z.int()).openapi({ description: 'Unix ms.' }),
    hatched: BandColumns.openapi({ description: 'Share of the final number that has hatched.' }),
    usable: BandColumns.openapi({ description: 'Food, as a share of its best.' }),
    waterC: BandColumns.openapi({ description: 'What the water is expected to be; null in the past.' }),
  })
  .openapi('Course')

export const Lot = z
  .object({
    name: z.string(),
    batches: z.int(),
    observations: z.int(),
    lastUsedAt: Time,
    verdict: z.enum(['unseen', 'learning', 'known', 'declining', 'gone-bad']),
    words: z.string().openapi({ description: 'The verdict in plain words, with its numbers.' }),
    hoursToHalf: BandOfNumbers.openapi({ description: 'Hours until half are out, at 27 °C.' }),
    hatchShare: BandOfNumbers.openapi({ description: 'Share of the cysts that hatch, 0 to 1.' }),
    synchronyH: BandOfNumbers.openapi({ description: 'Hours from 10 to 90 % out, at 27 °C.' }),
  })
  .openapi('Lot')
export const LotList = z.object({ lots: z.array(Lot) }).openapi('LotList')

export type NewBatchEvent = z.infer<typeof NewBatchEvent>
export type BatchEvent = z.infer<typeof BatchEvent>
export type Lot = z.infer<typeof Lot>
export type Course = z.infer<typeof Course>
