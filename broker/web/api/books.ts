import { z } from '@hono/zod-openapi'
import { CleaningHow } from '../../hatch/care/cleaning.ts'
import { ChartSign } from '../../hatch/lot/control-chart.ts'
import { ChartOf } from '../../hatch/lot/harvests.ts'
import { LotQuality } from '../../hatch/lot/quality.ts'
import { KeptIn } from '../../hatch/lot/use-by.ts'
import { UsualFrom, UsualLot, WalkKind } from '../../room/books/contract.ts'
import { Lot } from './events.ts'
import { BandOfNumbers, Goal, Id, Name, Time } from './schemas.ts'
import { MOST_SALT_GPL } from '../../hatch/recipe/most-salt.ts'

/** The breeder's books: lots, own recipes, walks, what is held cold, cleaning. */

export const By = z.string().trim().min(1).max(80).optional().openapi({
  description: 'Who; the signed-in person when left out.',
})
const at = Time.optional().openapi({ description: 'When it was so; now when left out.' })
export const ByWhom = z.object({ by: By }).strict().openapi('ByWhom')

/** Tins have days, not moments. */
export const Day = z.iso.date().openapi({ example: '2026-11-25' })
const Grams = z.number().positive().max(100_000)
const lotFields = {
  name: Name,
  openedOn: Day.nullable(),
  keptIn: z.enum(KeptIn).nullable(),
  gramsBought: Grams.nullable(),
  bestBefore: Day.nullable(),
  note: z.string().max(2000).nullable(),
}
export const NewLot = z
  .object({
    name: lotFields.name,
    openedOn: lotFields.openedOn.default(null),
    keptIn: lotFields.keptIn.default(null),
    gramsBought: lotFields.gramsBought.default(null),
    bestBefore: lotFields.bestBefore.default(null),
    note: lotFields.note.default(null),
  })
  .strict()
  .openapi('NewLot')
export const ChangeLot = z
  .object({ ...lotFields, putAway: z.boolean().openapi({ description: 'Used up, or thrown away.' }), by: By })
  .partial()
  .strict()
  .openapi('ChangeLot')

export const LotOnShelf = z
  .object({
    id: Id,
    ...lotFields,
    createdAt: Time,
    putAwayAt: Time.nullable(),
    gramsLeft: z.number().nullable().openapi({
      description:
        'What was bought or last weighed, less what batches drew since; null where neither was said.',
    }),
    drawnG: z.number().openapi({ description: 'By all its batches together.' }),
    isOverdrawn: z.boolean(),
    useBy: z.object({ from: Time, until: Time, why: z.enum(['opened', 'best-before']) }).nullable(),
    learned: Lot.nullable().openapi({ description: 'What its batches taught; null while none was started.' }),
    quality: z.enum(LotQuality),
    advice: z.string().openapi({ description: 'What to do about it, in plain words.' }),
  })
  .openapi('LotOnShelf')
export const LotShelf = z.object({ lots: z.array(LotOnShelf) }).openapi('LotShelf')

export const Weighing = z
  .object({
    id: Id,
    at: Time,
    recordedAt: Time,
    by: z.string(),
    gramsLeft: z.number(),
    withdrawnAt: Time.nullable(),
  })
  .openapi('Weighing')
export const NewWeighing = z
  .object({ gramsLeft: z.number().min(0).max(100_000), at, by: By })
  .strict()
  .openapi('NewWeighing')
export const WeighingById = z.object({
  id: Id.openapi({ param: { name: 'id', in: 'path' } }),
  weighingId: Id.openapi({ param: { name: 'weighingId', in: 'path' } }),
})

export const ControlChart = z
  .object({
    values: z.array(
      z.object({
        batchId: Id,
        at: Time,
        value: z.number(),
        low: z.number().openapi({ description: 'Limits of the count itself at 95 %.' }),
        high: z.number(),
        signs: z.array(z.enum(ChartSign)),
      }),
    ),
    limits: z
      .object({
        mean: z.number(),
        meanMovingRange: z.number(),
        lower: z.number(),
        upper: z.number(),
        innerLower: z.number().openapi({ description: 'Two of three below it are a decline.' }),
        upperMovingRange: z.number(),
        from: z.int().openapi({ description: 'From how many values.' }),
        leftOut: z
          .int()
          .openapi({ description: 'How many of the first ten were left out: batches that failed.' }),
      })
      .nullable()
      .openapi({
        description:
          'Mean ± 2.66 mean moving range, or more where the values are alike by chance; null with fewer than five values.',
      }),
  })
  .openapi('ControlChart')
export const LotDetail = LotOnShelf.extend({
  judgedBy: z.enum(ChartOf).openapi({ description: 'The chart that the verdict goes by.' }),
  charts: z.object({ naupliiPerG: ControlChart, hatchPercentage: ControlChart }),
  weighings: z.array(Weighing),
}).openapi('LotDetail')

const dose = {
  litres: z.number().positive().max(100),
  cystsG: z.number().positive().max(500),
  salinityGpl: z.number().min(0).max(MOST_SALT_GPL),
}
export const Usual = z
  .object({
    vesselId: Id,
    from: z.enum(UsualFrom).openapi({ description: 'Where the recipe is taken from.' }),
    recipe: z.string().optional().openapi({ description: 'The name of the own recipe that it is.' }),
    ...dose,
    goal: Goal,
    lot: z.object({ name: z.string(), gramsLeft: z.number().nullable() }).nullable(),
    lotFrom: z
      .enum(UsualLot)
      .optional()
      .openapi({ description: 'Why that lot; left out where none is taken.' }),
    elsewhere: Id.optional().openapi({
      description: 'The vessel of the last batch elsewhere, where dose or lot are of that.',
    }),
    lots: z.array(z.string()).openapi({ description: 'All lots that hold the dose.' }),
    lacksCysts: z.boolean().openapi({ description: 'No lot on the shelf holds the dose.' }),
  })
  .openapi('Usual')
export const UsualQuery = z.object({ vesselId: Id })

export const NewPreset = z
  .object({ name: Name, vesselId: Id.nullable().default(null), ...dose, goal: Goal.default('balanced') })
  .strict()
  .openapi('NewPreset')
export const Preset = z
  .object({ id: Id, name: z.string(), vesselId: Id.nullable(), ...dose, goal: Goal })
  .openapi('Preset')
const VesselNames = z
  .record(z.string(), z.string())
  .openapi({ description: 'What their vessels are called, by their ids: also those that are gone.' })
export const PresetList = z
  .object({ presets: z.array(Preset), names: VesselNames.optional() })
  .openapi('PresetList')

const Draft = z.record(z.string().max(80), z.unknown()).openapi({
  description: 'What was typed so far, opaque to the service; at most 32,768 characters of JSON.',
})
export const Walk = z
  .object({
    id: Id,
    kind: z.enum(WalkKind),
    vesselId: Id,
    batchId: Id.nullable(),
    startedAt: Time,
    by: z.string(),
    steps: z.array(z.object({ step: z.string(), at: Time })),
    draft: Draft,
    changes: z.int().openapi({
      description: 'How often it was changed: of two answers the one with more is the newer.',
    }),
    settlesAt: Time.nullable().openapi({
      description: 'Of a harvest with the air off: when all has settled.',
    }),
  })
  .openapi('Walk')
export const WalkList = z.object({ walks: z.array(Walk) }).openapi('WalkList')
export const NewWalk = z
  .object({ kind: z.enum(WalkKind), vesselId: Id, draft: Draft.optional(), by: By })
  .strict()
  .openapi('NewWalk')
export const WalkStep = z
  .object({ step: z.string().max(40), done: z.boolean(), at, by: By })
  .strict()
  .openapi('WalkStep')
export const WalkDraft = z.object({ draft: Draft }).strict().openapi('WalkDraft')
export const FinishWalk = z
  .object({
    batch: z
      .object({
        ...dose,
        lot: z.string().trim().max(80).optional(),
        goal: Goal.optional(),
        note: z.string().max(2000).optional(),
      })
      .strict()
      .optional()
      .openapi({ description: 'Of a set-up: what the batch is started with.' }),
    endBatch: z
      .boolean()
      .optional()
      .openapi({ description: 'Of a harvest: whether the batch ends; it does when left out.' }),
    note: z.string().max(2000).optional(),
    by: By,
  })
  .strict()
  .openapi('FinishWalk')
export const FinishedWalk = z.object({ batchId: Id }).openapi('FinishedWalk')

const DrawnFor = z.enum(['fed', 'discarded'])
export const Draw = z
  .object({
    id: Id,
    at: Time,
    recordedAt: Time,
    by: z.string(),
    for: DrawnFor,
    nauplii: z.number().nullable().openapi({ description: 'null: all that was left.' }),
    withdrawnAt: Time.nullable(),
  })
  .openapi('Draw')
export const HeldPortion = z
  .object({
    id: Id.openapi({
      description: "Of the entry in the batch's log: taken back there, the portion is gone.",
    }),
    batchId: Id,
    vesselId: Id,
    lot: z.string().nullable(),
    takenAt: Time,
    by: z.string(),
    coldC: z.number(),
    nauplii: z.number().nullable(),
    left: z.number().nullable(),
    isGone: z.boolean(),
    isTooSoon: z.boolean().optional().openapi({
      description:
        'Put in before anything of its batch can have hatched: its age is not known, and no plan counts on it.',
    }),
    firstOutAt: Time.nullable().openapi({
      description: 'When the first tenth had hatched, as it was reckoned.',
    }),
    heldH: z.number(),
    ageH: z.number().openapi({
      description: 'Of the mean nauplius, h: until it was put in and since, `heldH` of it in the cold.',
    }),
    ageKnown: z.boolean().openapi({
      description: 'False where nothing tells since when they were out: a middle age is taken.',
    }),
    until: Time.openapi({
      description: 'The end of the time for which it is known to keep: 48 h up to 4 °C, else 24 h.',
    }),
    isOver: z.boolean(),
    energyLeft: BandOfNumbers.openapi({
      description: 'Of the mean nauplius, as a share of what it hatched with.',
    }),
    draws: z.array(Draw),
  })
  .openapi('HeldPortion')
export const HeldList = z
  .object({
    held: z.array(HeldPortion),
    names: VesselNames,
  })
  .openapi('HeldList')
export const HeldQuery = z.object({ gone: z.enum(['true', 'false']).default('false') })
export const NewDraw = z
  .object({
    for: DrawnFor,
    nauplii: z
      .number()
      .positive()
      .max(1e9)
      .nullable()
      .default(null)
      .openapi({ description: 'All that is left when left out.' }),
    at,
    by: By,
  })
  .strict()
  .openapi('NewDraw')
export const DrawById = z.object({
  id: Id.openapi({ param: { name: 'id', in: 'path' } }),
  drawId: Id.openapi({ param: { name: 'drawId', in: 'path' } }),
})

const Reason = z.object({
  name: z.enum(['after-batch', 'batches', 'days', 'hatch-declines']),
  words: z.string(),
})
export const CleaningEntry = z
  .object({
    id: Id,
    vesselId: Id,
    at: Time,
    recordedAt: Time,
    by: z.string(),
    how: z.enum(CleaningHow),
    words: z.string().nullable(),
    withdrawnAt: Time.nullable(),
  })
  .openapi('CleaningEntry')
export const NewCleaning = z
  .object({ how: z.enum(CleaningHow), words: z.string().trim().max(300).optional(), at, by: By })
  .strict()
  .openapi('NewCleaning')
export const CleaningPolicy = z
  .object({ everyBatches: z.int().min(1).max(100), everyDays: z.int().min(1).max(365) })
  .strict()
  .openapi('CleaningPolicy', { description: 'When to disinfect besides when the hatch declines.' })
export const CleaningList = z
  .object({
    policy: CleaningPolicy,
    vessels: z.array(
      z.object({
        vesselId: Id,
        isEmpty: z.boolean(),
        hotWater: Reason.nullable().openapi({ description: 'Why it is due for hot water; null: it is not.' }),
        disinfect: Reason.nullable(),
        lastCleanedAt: Time.nullable(),
        lastDisinfectedAt: Time.nullable(),
        batchesSince: z.int().openapi({ description: 'Batches ended since it was disinfected.' }),
        log: z.array(CleaningEntry),
      }),
    ),
  })
  .openapi('CleaningList')

export const PhotoQuery = z.object({ at, by: By, words: z.string().max(300).optional() })

export type LotOnShelf = z.infer<typeof LotOnShelf>
export type LotDetail = z.infer<typeof LotDetail>
export type ControlChart = z.infer<typeof ControlChart>
export type Usual = z.infer<typeof Usual>
export type Preset = z.infer<typeof Preset>
export type Walk = z.infer<typeof Walk>
export type HeldPortion = z.infer<typeof HeldPortion>
export type CleaningList = z.infer<typeof CleaningList>
export type CleaningEntry = z.infer<typeof CleaningEntry>
export type Weighing = z.infer<typeof Weighing>
export type Draw = z.infer<typeof Draw>
