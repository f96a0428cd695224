import { z } from '@hono/zod-openapi'
import { HarvestGoal } from '../../hatch/contract.ts'
import { RiskKind, SourceKind } from '../../plan/contract.ts'
import { HarvestAct } from '../../plan/harvest-act.ts'
import { RuleName } from '../../rules/alarm.ts'
import { isZone } from '../../room/feeding/preferences.ts'
import { FedFrom, MOST_PARTS, PlanCause } from '../../room/feeding/contract.ts'
import { LotCounted } from './events.ts'
import { BandOfTimes, Id, Name, Time } from './schemas.ts'

export const TimeOfDay = z
  .string()
  .regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'Cannot read time of day: write it like 07:30')
  .openapi({ example: '07:30' })

export const FoodAge = z
  .discriminatedUnion('kind', [
    z.object({ kind: z.literal('instar-1') }).strict(),
    z.object({ kind: z.literal('up-to'), hours: z.number().min(1).max(96) }).strict(),
  ])
  .openapi({
    description: 'Which nauplii they can eat: before the first moult alone, or up to so many hours old.',
  })

export const CohortFields = z
  .object({
    name: Name,
    species: z.string().trim().max(80).default(''),
    fry: z.int().min(1).max(1_000_000),
    born: Time.openapi({ description: 'When they are 0 days old, as the ration counts.' }),
    ration: z
      .array(
        z
          .object({ fromDay: z.int().min(0).max(365), naupliiPerFry: z.number().min(0).max(100_000) })
          .strict(),
      )
      .min(1)
      .max(20)
      .refine(steps => steps.every((step, i) => i === 0 || step.fromDay > (steps[i - 1]?.fromDay ?? -1)), {
        message: 'The days must rise',
      })
      .openapi({ description: 'Nauplii a fry a day, from an age in days on.' }),
    times: z.array(TimeOfDay).min(1).max(12),
    food: FoodAge,
    ends: Time.nullable().default(null),
  })
  .strict()
  .openapi('CohortFields')
export const Cohort = z.object({ id: Id, ...CohortFields.shape }).openapi('Cohort')
export const CohortList = z.object({ cohorts: z.array(Cohort) }).openapi('CohortList')

export const PlanPreferences = z
  .object({
    zone: z.string().max(64).refine(isZone, 'Cannot find this zone: write it like Europe/Berlin').openapi({
      example: 'Europe/Berlin',
    }),
    wake: z.object({ from: TimeOfDay, until: TimeOfDay }).strict(),
    gramStep: z
      .number()
      .min(0.01)
      .max(10)
      .openapi({ description: 'Doses are whole multiples of so many grams.' }),
    spare: z.number().min(0).max(1).openapi({ description: 'More than is eaten: 0.1 is a tenth more.' }),
    cold: z
      .object({ keepsH: z.number().min(1).max(96), survival: z.number().min(0.1).max(1) })
      .strict()
      .nullable()
      .openapi({ description: 'Nauplii are held cold so long, of which this share lives; null: none are.' }),
    days: z.int().min(1).max(14),
    turnroundMin: z.int().min(0).max(1440).openapi({ description: 'From a harvest to the next start.' }),
    maxGpl: z.number().min(0.1).max(10).openapi({ description: 'Most cysts, g/l.' }),
  })
  .strict()
  .openapi('PlanPreferences')

const Serving = z.object({
  source: z.enum(SourceKind),
  sourceId: z.string(),
  nauplii: z.number(),
  ageH: z
    .number()
    .openapi({ description: 'Hours warm, by which age limits go: add `coldH` for how old they are.' }),
  coldH: z.number().openapi({ description: 'And so many hours in the cold.' }),
  energyLeft: z.number().optional().openapi({
    description:
      'Of the mean nauplius when it is fed, as a share of what it hatched with; left out where it is not known.',
  }),
  tight: z.boolean().openapi({ description: 'The batch may well not be ready by then.' }),
})
const Meal = z
  .object({
    id: z.string(),
    cohortId: Id,
    at: Time,
    nauplii: z.number(),
    wanted: z.number().openapi({ description: 'With the spare.' }),
    limitH: z.number(),
    lacking: z.number(),
    servings: z.array(Serving),
  })
  .openapi('Meal')
const PastBest = z.object({
  hours: z.number(),
  lost: z.number().openapi({ description: 'Share of the usable food at the best moment, 0 to 1.' }),
})
const pastBest = PastBest.optional().openapi({
  description: 'What is lost by harvesting after the best moment, where that is an hour or more.',
})
const Start = z
  .object({
    id: z.string(),
    vesselId: Id,
    lot: z.string().nullable(),
    goal: z.enum(HarvestGoal),
    at: Time,
    cystsG: z.number(),
    litres: z.number(),
    nauplii: z.number(),
    ready: BandOfTimes,
    harvest: Time,
    free: Time,
    nightStart: z.boolean(),
    nightHarvest: z.boolean(),
    pastBest,
  })
  .openapi('PlannedStart')
const Harvest = z
  .object({
    batchId: Id,
    vesselId: Id,
    at: Time.openapi({ description: 'When the vessel is emptied.' }),
    first: Time.openapi({ description: 'When it is drawn from first.' }),
    nauplii: z.number().openapi({ description: 'Out at its best moment, or as counted.' }),
    inTheEnd: z.number().optional().openapi({
      description: 'Once all that will have hatched, as its forecast has it; left out where it was counted.',
    }),
    uncounted: z.object({ least: z.number(), most: z.number() }).optional().openapi({
      description:
        'From where to where `nauplii` may be, 10 to 90 %, where nothing of its lot was ever counted; left out otherwise.',
    }),
    used: z.number(),
    night: z.boolean(),
    late: z.boolean().openapi({ description: 'After its window, which falls into the night.' }),
    pastBest,
    act: z.enum(HarvestAct).openapi({
      description:
        'What it asks for: to harvest, to see first to the alarm that stands on its vessel, or to empty it, as next to nothing is expected of it.',
    }),
  })
  .openapi('PlannedHarvest')
const Remedy = z
  .discriminatedUnion('kind', [
    z.object({ kind: z.literal('more-cysts'), lot: z.string(), grams: z.number() }),
    z.object({
      kind: z.literal('older-food'),
      source: z.enum(SourceKind),
      sourceId: z.string(),
      ageH: z.number(),
      nauplii: z.number(),
    }),
    z.object({ kind: z.literal('feed-later'), at: Time, sourceId: z.string() }),
    z.object({ kind: z.literal('more-litres'), litres: z.number() }),
    z.object({
      kind: z.literal('start-spare'),
      vesselId: Id,
      lot: z.string(),
      grams: z.number(),
      ready: Time,
      feedingsMet: z.int(),
    }),
    z.object({ kind: z.literal('harvest-now'), vesselId: Id }),
    z.object({ kind: z.literal('vessel-needed'), vesselId: Id, start: Time }),
    z.object({ kind: z.literal('no-cysts') }),
    z.object({ kind: z.literal('none') }),
  ])
  .openapi('Remedy')
const Risk = z
  .object({
    kind: z.enum(RiskKind),
    meals: z.array(z.string()),
    lacking: z.number(),
    sourceId: z.string().nullable(),
    remedy: Remedy,
  })
  .openapi('Risk')
const Change = z
  .object({
    kind: z.enum(['start-added', 'start-dropped', 'start-moved', 'harvest-moved', 'meal-lacks', 'meal-met']),
    vesselId: Id.nullable(),
    meal: z.string().nullable(),
    at: Time,
    from: Time.nullable(),
  })
  .openapi('PlanChange')

const OpenMeal = z.object({ id: z.string(), cohortId: Id, at: Time, nauplii: z.number() })
const mealId = z.string().max(100).nullable().default(null).openapi({
  description: 'The feeding of the plan that it is; null for one beside the plan.',
})
const Nauplii = z.number().min(0).max(1e9).nullable()
const fromId = Id.nullable().default(null).openapi({
  description: 'Of the portion in the refrigerator, or of the batch: so many are taken from it.',
})
const FeedingPart = z
  .object({
    from: z.enum(FedFrom),
    fromId,
    nauplii: Nauplii.openapi({ description: 'Null: nobody counted.' }),
  })
  .strict()
  .openapi('FeedingPart')
const FROM_OR_PARTS = 'Either `from` and `nauplii`, or `parts`.'
export const NewFeeding = z
  .object({
    cohortId: Id,
    mealId,
    nauplii: Nauplii.optional().openapi({ description: `Null: nobody counted. ${FROM_OR_PARTS}` }),
    from: z.enum(FedFrom).optional(),
    fromId,
    parts: z
      .array(FeedingPart)
      .min(1)
      .max(MOST_PARTS)
      .optional()
      .openapi({
        description: `From several sources, each named once: all is taken, or nothing. ${FROM_OR_PARTS}`,
      }),
    more: z.boolean().optional().openapi({
      description: 'Fewer were given than are due, and the rest of the feeding is still to be given.',
    }),
    at: Time.optional(),
    by: z.string().trim().min(1).max(80).optional(),
  })
  .strict()
  .superRefine(({ nauplii, from, fromId: id, parts }, context) => {
    const wrong = (path: string, message: string) =>
      context.addIssue({ code: 'custom', path: [path], message })
    if (parts !== undefined) {
      if (nauplii !== undefined) wrong('nauplii', 'Each part says how many: leave it out')
      if (from !== undefined || id !== null) wrong('from', 'Each part says from where: leave it out')
      return
    }
    if (nauplii === undefined) wrong('nauplii', 'Say how many, or null where nobody counted')
    if (from === undefined) wrong('from', 'Say from what')
  })
  .openapi('NewFeeding')
export const GivenFeeding = z
  .object({
    id: Id,
    cohortId: Id,
    mealId,
    nauplii: Nauplii.openapi({ description: 'All together; null: nobody counted.' }),
    from: z.enum(FedFrom).openapi({ description: 'Of several sources the first; `parts` has all.' }),
    fromId,
    parts: z.array(FeedingPart).openapi({ description: 'Each source, with what came from it.' }),
    more: z.boolean().optional().openapi({ description: 'The rest of the feeding was still to be given.' }),
    due: Time.nullable(),
    at: Time,
    recordedAt: Time,
    by: z.string(),
    withdrawnAt: Time.nullable(),
  })
  .openapi('GivenFeeding')
export const GivenList = z.object({ feedings: z.array(GivenFeeding) }).openapi('GivenList')
export const GivenQuery = z.object({
  from: Time.optional().openapi({ description: 'A day and a half ago when left out.' }),
})

export const Plan = z
  .object({
    computedAt: Time,
    tookMs: z.int(),
    until: Time,
    causes: z.array(z.enum(PlanCause)),
    changes: z.array(Change).openapi({ description: 'What is otherwise than in the plan before.' }),
    starts: z.array(Start),
    harvests: z.array(Harvest),
    meals: z.array(Meal),
    risks: z.array(Risk),
    cystsG: z.number(),
    lacking: z.number(),
    nightStarts: z.int(),
    nightHarvests: z.int(),
    proof: z.object({
      optimal: z.boolean().openapi({ description: 'No better plan is to be had from starts on the grid.' }),
      gap: z
        .number()
        .openapi({ description: 'The cysts are above the least possible by this share at most.' }),
      leastG: z.number(),
      gridMin: z.number(),
    }),
    preferences: PlanPreferences,
    cohorts: z.array(Cohort),
    vessels: z.array(z.object({ id: Id, name: z.string(), litres: z.number() })),
    lots: z
      .array(
        z.object({
          id: z.string(),
          name: z.string(),
          naupliiPerG: z.number().openapi({
            description: 'From a gram in the end, as learnt of the lot or published for new ones.',
          }),
          counted: LotCounted.nullable(),
        }),
      )
      .optional()
      .openapi({ description: 'What the lots are taken to give.' }),
    held: z
      .array(
        z.object({
          id: Id,
          nauplii: z.number(),
          used: z.number().openapi({ description: 'So many of them the plan feeds.' }),
          until: Time.nullable(),
        }),
      )
      .optional()
      .openapi({ description: 'What is in the refrigerator, counted and within its time.' }),
    sources: z.record(z.string(), z.string()).optional().openapi({
      description:
        'What the vessels are called that portions and feedings came out of, by the ids of the portions and batches; those that are gone among them.',
    }),
    open: z.array(OpenMeal).openapi({
      description: 'Feedings whose time has come and that nobody ticked off, the oldest first.',
    }),
    fed: z.array(GivenFeeding).openapi({ description: 'What was given within the last day and a half.' }),
    running: z.array(
      z.object({
        batchId: Id,
        vesselId: Id,
        startedAt: Time,
        readyAt: Time,
        danger: z
          .object({ alarmId: Id, rule: z.enum(RuleName) })
          .nullable()
          .optional()
          .openapi({ description: 'An alarm that stands on its vessel and may cost it.' }),
      }),
    ),
    calendar: z.boolean().openapi({ description: 'A private calendar address is in use.' }),
  })
  .openapi('Plan')

export const PlannedById = z.object({
  id: z
    .string()
    .min(1)
    .max(100)
    .openapi({ param: { name: 'id', in: 'path' } }),
})
export const CalendarAddress = z
  .object({ path: z.string().openapi({ description: 'Shown once. Whoever has it sees the plan.' }) })
  .openapi('CalendarAddress')

export type GivenFeeding = z.infer<typeof GivenFeeding>
export type Plan = z.infer<typeof Plan>
export type Cohort = z.infer<typeof Cohort>
export type CohortFields = z.infer<typeof CohortFields>
export type PlanPreferences = z.infer<typeof PlanPreferences>
