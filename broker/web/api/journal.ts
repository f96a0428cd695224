import { z } from '@hono/zod-openapi'
import { AlarmState, Priority, Reason, RuleName } from '../../rules/alarm.ts'
import { Verdict } from '../../rules/journal/contract.ts'
import { DeliveryState } from '../../store/contract.ts'
import { Moment } from './requests.ts'
import { Alarm, Id, Time } from './schemas.ts'

export const JournalRequest = z.object({
  from: Moment.optional().openapi({ description: 'A week before `to` when left out; 400 days at most.' }),
  to: Moment.optional().openapi({ description: 'Now when left out.' }),
  vesselId: Id.optional().openapi({ description: 'List only those of this vessel; figures are of all.' }),
  rule: z.enum(RuleName).optional(),
  priority: z.enum(Priority).optional(),
  limit: z.coerce.number().int().min(1).max(200).default(50),
  skip: z.coerce
    .number()
    .int()
    .min(0)
    .max(1_000_000)
    .default(0)
    .openapi({ description: 'So many of the newest are passed over: the next page.' }),
})

const Figure = z
  .object({
    value: z.number().nullable(),
    mark: z
      .number()
      .openapi({ description: 'What is published as good; its source is in the documentation.' }),
    verdict: z.enum(Verdict),
  })
  .openapi('Figure')
const Source = z.object({ rule: z.enum(RuleName), vesselId: Id.nullable() })
const Share = Figure.extend({ alarms: z.int() })

export const JournalFigures = z
  .object({
    alarms: z.int().openapi({
      description:
        'The alarms that called people: each time one came. That one is told again is no further alarm. All figures count these.',
    }),
    calls: z.int().openapi({ description: 'How often people were called for them in all, repeats counted.' }),
    days: z.number(),
    perDay: Figure.openapi({ description: 'EEMUA 191: one alarm in ten minutes on average, 144 a day.' }),
    busiestTenMinutes: Figure.extend({ from: Time.nullable() }).openapi({
      description: 'EEMUA 191: ten within ten minutes are a flood.',
    }),
    standing: z.int(),
    longestStanding: z.object({ alarmId: Id, since: Time }).nullable(),
    stale: Figure.extend({ alarmIds: z.array(Id) }).openapi({
      description: 'Alarms that have stood for a day and more.',
    }),
    chattering: Figure.extend({ sources: z.array(Source.extend({ times: z.int() })) }).openapi({
      description: 'What came and went three times or more within a minute (ANSI/ISA-18.2).',
    }),
    priorities: z
      .object({ critical: Share, high: Share, low: Share })
      .openapi({ description: 'Shares of the alarms, 0 to 1. EEMUA 191: about 5, 15 and 80 %.' }),
    mostFrequent: z.array(Source.extend({ alarms: z.int() })),
    acknowledging: z.object({
      count: z.int(),
      meanS: z.number().nullable(),
      medianS: z.number().nullable(),
      never: z.int().openapi({ description: 'Calls that nobody ever acknowledged.' }),
    }),
  })
  .openapi('JournalFigures')

const Came = z.int().openapi({
  description: 'How often it came and called within the span; 0 if it came before, or called nobody.',
})

export const JournalEntry = z
  .object({
    alarm: Alarm,
    came: Came,
    because: Source.extend({ alarmId: Id, calledAt: Time.nullable() }).nullable().openapi({
      description: 'The alarm whose call told of it, where it made no call of its own.',
    }),
    steps: z.array(
      z.object({
        at: Time,
        state: z.enum(AlarmState),
        reason: z.enum(Reason),
        calls: z.boolean().openapi({ description: 'People were called at this step.' }),
        by: z.string().nullable(),
        says: z
          .string()
          .optional()
          .openapi({ description: 'What it said, at a step that called; old records do not have it.' }),
        until: Time.optional().openapi({
          description: 'Until when this step made it call nobody, if it has an end.',
        }),
        why: z
          .string()
          .optional()
          .openapi({ description: 'What it was put off or taken out of service for, if somebody said.' }),
      }),
    ),
    told: z
      .array(
        z.object({
          person: z.string().nullable(),
          by: z.string().openapi({ description: 'The address or the way.' }),
          state: z.enum(DeliveryState),
          at: Time,
        }),
      )
      .openapi({ description: 'Whom it was told, as far back as deliveries are remembered.' }),
  })
  .openapi('JournalEntry')

export const Journal = z
  .object({
    from: Time,
    to: Time,
    figures: JournalFigures,
    cut: z.boolean().openapi({ description: 'There were too many: figures and marks are of the newest.' }),
    entries: z.array(JournalEntry).openapi({ description: 'Newest first.' }),
    more: z.boolean(),
    marks: z
      .array(
        Source.extend({
          alarmId: Id,
          priority: z.enum(Priority),
          from: Time,
          to: Time.nullable(),
          silent: z.boolean().openapi({ description: 'Nobody was called for it.' }),
          came: Came,
        }),
      )
      .openapi({ description: 'Every alarm of the span, for drawing. Oldest first.' }),
    names: z.record(Id, z.string()).openapi({
      description: 'What the vessels of the marks are called, by their ids: also those that are gone.',
    }),
  })
  .openapi('Journal')

export type Journal = z.infer<typeof Journal>
export type JournalEntry = z.infer<typeof JournalEntry>
export type JournalFigures = z.infer<typeof JournalFigures>
