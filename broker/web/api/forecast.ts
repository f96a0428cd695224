import { z } from '@hono/zod-openapi'
import { Stage } from '../../hatch/contract.ts'
import { BandOfNumbers, BandOfTimes, Goal, Id, Time } from './schemas.ts'

export const DelayReason = z
  .object({
    kind: z.enum(['cooler', 'warmer', 'unmeasured', 'slower-lot', 'faster-lot']),
    since: Time.nullable(),
    laterH: z.number().openapi({ description: 'Hours later than planned; negative is sooner.' }),
    waterC: z.number().nullable().openapi({ description: 'Mean of the water since then.' }),
    plannedC: z.number().nullable(),
    expected: z.boolean().optional().openapi({
      description: 'waterC was not measured yet: it is what is expected. False when left out.',
    }),
  })
  .openapi('DelayReason')

export const Forecast = z
  .object({
    at: Time,
    t10: BandOfTimes,
    t90: BandOfTimes,
    harvest: z.object({ from: Time, best: Time, until: Time, bestBand: BandOfTimes }),
    hatchedNow: BandOfNumbers,
    stage: z.enum(Stage),
    progress: z.number(),
    expectedWaterC: BandOfNumbers,
    reachesHatch: z.boolean(),
    goal: Goal,
    stagesNow: z
      .object({ umbrella: BandOfNumbers, instarI: BandOfNumbers, instarII: BandOfNumbers })
      .openapi({ description: 'As shares of the final number, 0 to 1.' }),
    energyLeft: BandOfNumbers.openapi({
      description: 'Of the mean nauplius out by now, as a share of what it hatched with.',
    }),
    hatchShare: BandOfNumbers.openapi({ description: 'Share of the cysts that hatch in the end, 0 to 1.' }),
    nauplii: BandOfNumbers.openapi({ description: 'How many nauplii the dose gives in the end.' }),
    naupliiBefore: BandOfNumbers.optional().openapi({
      description:
        'The same by the lot’s other batches alone: expected before anything was seen of this one.',
    }),
    hatchShareBefore: BandOfNumbers.optional().openapi({
      description: 'Share of its cysts that hatches in the end, 0 to 1, by the lot’s other batches alone.',
    }),
    firstSeenAt: Time.optional().openapi({
      description: 'When somebody saw its first swimmers: the times lean on it. Left out while nobody did.',
    }),
    moved: z
      .object({
        kind: z.enum(['count', 'first-swimmers']),
        at: Time,
        vesselId: Id.nullable().openapi({ description: 'Where it was seen; null for this batch itself.' }),
        laterH: z.number().openapi({ description: 'Below 0: sooner.' }),
        hatchedBefore: BandOfNumbers.openapi({
          description: 'Share that would be taken to be out now without it.',
        }),
      })
      .optional()
      .openapi({
        description: 'What was seen last of its lot, where that moved its harvest within the last 12 hours.',
      }),
    waterMeasured: z.boolean().optional().openapi({
      description:
        'Whether any of its water was measured; where none was, the times rest on the water as planned.',
    }),
    why: z.array(DelayReason).openapi({
      description:
        'Why it comes sooner or later than was planned at the start, where that is beyond the forecast’s own doubt; the weightiest first.',
    }),
    heading: z
      .object({
        limitC: z.number(),
        at: BandOfTimes.extend({ p90: Time.nullable().openapi({ description: 'null: perhaps never.' }) }),
      })
      .nullable()
      .openapi({ description: 'When the water crosses its heat limit on this course; null: it does not.' }),
    lot: z.object({ name: z.string().nullable(), batches: z.int(), observations: z.int() }).openapi({
      description:
        'What the forecast knows the lot from: earlier batches and what was seen, this one included.',
    }),
  })
  .openapi('Forecast')

export type Forecast = z.infer<typeof Forecast>
