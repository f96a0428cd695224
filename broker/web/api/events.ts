import { z } from '@hono/zod-openapi'
import { DRAWN_OFF_ML_AT_MOST, SAMPLE_ML_AT_LEAST } from '../../hatch/counts/samples.ts'
import { OBSERVED_LIMITS, SalinityHow, TakenFor } from '../../room/observations.ts'
import { BandOfNumbers, Id, Time } from './schemas.ts'

/** What a person saw or did with a batch, and what is known of a lot from it. */

const LIMITS = OBSERVED_LIMITS
const bounded = ({ from, to }: { readonly from: number; readonly to: number }) => z.number().min(from).max(to)

const By = z.string().trim().min(1).max(80)
const whenAndWho = {
  at: Time.optional().openapi({ description: 'When it was so; now when left out.' }),
  by: By.optional().openapi({ description: 'Who saw it; the signed-in person when left out.' }),
  replaces: Id.optional().openapi({
    description: 'The entry that this one corrects: it is taken back with it.',
  }),
}
const Counted = z.int().min(0).max(1_000_000)

/** One sample under the lens. */
export const CountSample = z
  .object({
    sampleMl: z.number().positive().max(1000).openapi({ description: 'Millilitres that were counted.' }),
    dilution: z.number().min(1).max(10_000).optional().openapi({
      description: 'How many times the water was diluted before; 1 when left out.',
    }),
    nauplii: Counted,
    umbrella: Counted.optional(),
    embryos: Counted.optional().openapi({ description: 'Full cysts that have not hatched.' }),
  })
  .strict()
  .openapi('CountSample')

export const DrawnOffMl = z.number().min(SAMPLE_ML_AT_LEAST).max(DRAWN_OFF_ML_AT_MOST).openapi({
  description:
    'Where what was drawn off (or sieved) was sampled: all of it, mL. Left out where the whole vessel was stirred and sampled.',
})

const FirstSwimmers = z.object({ kind: z.literal('first-swimmers') })
const Count = z.object({
  kind: z.literal('count'),
  harvest: z.boolean().default(false).openapi({ description: 'Counted at the harvest.' }),
  drawnOffMl: DrawnOffMl.optional(),
  samples: z.array(CountSample).min(1).max(100),
})
const Note = z.object({ kind: z.literal('note'), text: z.string().trim().min(1).max(2000) })

const words = z.string().trim().max(LIMITS.words).optional()
const plain = <K extends string>(kind: K) => z.object({ kind: z.literal(kind), words })
const PLAIN = [
  plain('ring-knocked-down'),
  plain('foam'),
  plain('leak'),
  plain('air-off'),
  plain('air-on'),
  plain('light-below'),
  plain('settled'),
  plain('drawn-off'),
] as const
const Ph = z.object({ kind: z.literal('ph'), ph: bounded(LIMITS.ph), words })
const Salinity = z.object({
  kind: z.literal('salinity'),
  salinityGpl: bounded(LIMITS.salinityGpl),
  how: z.enum(SalinityHow),
  words,
})
const Temperature = z.object({
  kind: z.literal('temperature'),
  waterC: bounded(LIMITS.waterC).openapi({ description: 'By a thermometer in the hand.' }),
  words,
})
const share = z.number().min(0).max(1)
const Taken = z.object({
  kind: z.literal('taken'),
  for: z.enum(TakenFor),
  nauplii: bounded(LIMITS.nauplii)
    .nullable()
    .default(null)
    .openapi({ description: 'How many, where it is known.' }),
  share: share
    .nullable()
    .default(null)
    .openapi({ description: 'Which share of what the vessel held, 0 to 1.' }),
  coldC: bounded(LIMITS.coldC)
    .nullable()
    .default(null)
    .openapi({ description: 'Of the refrigerator: of what is held.' }),
  words,
})

const [first, ...rest] = PLAIN.map(kind => kind.extend(whenAndWho).strict())
export const NewBatchEvent = z
  .discriminatedUnion('kind', [
    FirstSwimmers.extend({
      ...whenAndWho,
      insist: z.boolean().optional().openapi({
        description:
          'Sent with true after a 409 that names it: it is earlier than any that was published, and is so all the same.',
      }),
    }).strict(),
    Count.extend(whenAndWho).strict(),
    Note.extend(whenAndWho).strict(),
    first!,
    ...rest,
    Ph.extend(whenAndWho).strict(),
    Salinity.extend(whenAndWho).strict(),
    Temperature.extend(whenAndWho).strict(),
    Taken.extend(whenAndWho).strict(),
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
  .openapi({
    description: 'How many nauplii all that was sampled holds, with limits that hold the truth at 95 %.',
  })
const [firstKept, ...restKept] = PLAIN.map(kind => kind.extend(kept))
const Said = z.record(z.string(), z.union([z.string(), z.number(), z.null()]))
export const BatchEvent = z
  .discriminatedUnion('kind', [
    FirstSwimmers.extend(kept),
    Count.extend({ ...kept, estimate: VesselEstimate.nullable() }),
    Note.extend(kept),
    firstKept!,
    ...restKept,
    Ph.extend(kept),
    Salinity.extend(kept),
    Temperature.extend(kept),
    Taken.extend({
      ...kept,
      energyLeft: share
        .nullable()
        .openapi({ description: 'Of the mean nauplius when it was taken, as it was reckoned.' }),
      firstOutAt: Time.nullable().openapi({ description: 'When the first tenth was out.' }),
    }),
    z.object({ kind: z.literal('photo'), photoId: Id, media: z.string(), bytes: z.int(), words, ...kept }),
    z
      .object({
        kind: z.literal('set-up'),
        steps: z.array(z.object({ step: z.string(), at: Time })),
        ...kept,
      })
      .openapi({ description: 'The steps of the set-up as they were ticked off.' }),
    z.object({ kind: z.literal('corrected'), before: Said, after: Said, ...kept }).openapi({
      description: 'What was written down of the batch itself was changed.',
    }),
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

export const LotCounted = z
  .object({
    batches: z.int().openapi({ description: 'Batches with a count.' }),
    naupliiPerG: z
      .object({ mean: z.number(), least: z.number(), most: z.number() })
      .openapi({ description: 'From a gram of dry cysts, over those batches.' }),
    hatchShare: z.number().nullable().openapi({
      description: 'Mean share that hatched, 0 to 1; null where no unhatched cysts were counted.',
    }),
  })
  .openapi('LotCounted')
export const Lot = z
  .object({
    name: z.string(),
    batches: z.int(),
    observations: z.int(),
    lastUsedAt: Time,
    verdict: z.enum(['unseen', 'learning', 'known', 'declining', 'gone-bad']),
    words: z.string().openapi({ description: 'The verdict in plain words, with its numbers.' }),
    hoursToHalf: BandOfNumbers.openapi({ description: 'Hours until half are out, at 27 °C.' }),
    hatchShare: BandOfNumbers.openapi({
      description: 'Share of the cysts that hatch, 0 to 1: as learnt, for its next batch.',
    }),
    naupliiPerG: BandOfNumbers.openapi({
      description: 'Nauplii from a gram of dry cysts in the end: as learnt, for its next batch.',
    }),
    counted: LotCounted.nullable().openapi({
      description: 'What its counts said, apart from what is learnt of them; null while nothing was counted.',
    }),
    synchronyH: BandOfNumbers.openapi({ description: 'Hours from 10 to 90 % out, at 27 °C.' }),
  })
  .openapi('Lot')
export const LotList = z.object({ lots: z.array(Lot) }).openapi('LotList')

export type NewBatchEvent = z.infer<typeof NewBatchEvent>
export type BatchEvent = z.infer<typeof BatchEvent>
export type LotCounted = z.infer<typeof LotCounted>
export type Lot = z.infer<typeof Lot>
export type Course = z.infer<typeof Course>
