import { z } from '@hono/zod-openapi'
import { LOOK_BACK_BUCKETS } from '../../room/looks-back.ts'
import { BatchEvent, Course } from './events.ts'
import { JournalEntry } from './journal.ts'
import { BroughtIn } from './handover.ts'
import { Forecast } from './forecast.ts'
import { Batch } from './batches.ts'
import { Readings } from './vessels.ts'
import { Id, Time } from './schemas.ts'

/** All that a batch is looked at again with, in one answer. */

export const ReplayQuery = z.object({
  points: z.coerce.number().int().min(2).max(5000).default(LOOK_BACK_BUCKETS).openapi({
    description: 'At most so many buckets a channel; each keeps its least, greatest and mean value.',
  }),
})

export const Replay = z
  .object({
    batch: Batch,
    vessel: z
      .object({ id: Id, name: z.string(), litres: z.number() })
      .nullable()
      .openapi({ description: 'null: nothing is known of it any more.' }),
    from: Time,
    to: Time.openapi({ description: 'The end of the batch; now for an open one.' }),
    channels: Readings.shape.channels.openapi({
      description: 'Columns by role, good values alone: where there is none, nothing was measured.',
    }),
    course: Course.openapi({ description: 'The hatch as it is known now, over the same span and beyond.' }),
    forecast: Forecast,
    expectedWaterC: z
      .object({
        t: z.array(z.int()),
        p10: z.array(z.number()),
        p50: z.array(z.number()),
        p90: z.array(z.number()),
      })
      .openapi({ description: 'What the water was expected to be half an hour before, moment by moment.' }),
    limits: z
      .array(
        z.object({
          from: Time,
          waterTooHotC: z.number(),
          waterTooCoolC: z.number(),
          airLpmPerL: z.number(),
          lightLx: z.number(),
        }),
      )
      .openapi({
        description: 'The limits that were in force, each from its moment on; the first from the start.',
      }),
    alarms: z
      .array(JournalEntry)
      .openapi({ description: 'Of the vessel and of the whole room, with their steps. Oldest first.' }),
    events: z
      .array(BatchEvent)
      .openapi({ description: 'What persons saw and did; none that was withdrawn.' }),
    reminders: z
      .array(z.object({ kind: z.string(), title: z.string(), text: z.string(), due: Time }))
      .openapi({ description: 'What the batch asked to be done, by the forecast as it is now.' }),
    broughtIn: BroughtIn.optional().openapi({
      description: 'Of a batch from elsewhere: where its file came from. Left out of an own batch.',
    }),
  })
  .openapi('Replay')

export type Replay = z.infer<typeof Replay>
