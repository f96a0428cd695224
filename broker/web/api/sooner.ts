import { z } from '@hono/zod-openapi'
import { CauseKind } from '../../diagnosis/contract.ts'
import { TryOutState } from '../../replay/contract.ts'
import { Knob } from '../../replay/sooner/contract.ts'
import { RuleName } from '../../rules/alarm.ts'
import { Id, Settings, Time } from './schemas.ts'

/** What would have caught it: the call that there was, and the setting that would have called sooner. */

export const CaughtQuery = z.object({
  cause: z.enum(CauseKind).optional().openapi({
    description: 'About which of the causes that are named, or were risky; the first one when left out.',
  }),
})

const Call = z.object({ rule: z.enum(RuleName), calledAt: Time })

const SoonerCall = z.object({
  rule: z.enum(RuleName),
  knob: z.enum(Knob).openapi({ description: 'Which of its settings is turned.' }),
  setting: Settings.shape.rules.shape['water-too-hot'].openapi({
    description: 'All of its settings, with that one.',
  }),
  calledAt: Time,
  gainedMin: z.number().nullable().openapi({
    description: 'Sooner than with the settings as they are; null where these do not call at all.',
  }),
})

export const SoonerSearch = z
  .object({
    state: z.enum(TryOutState),
    progress: z.number().openapi({ description: '0 to 1.' }),
    now: Call.nullable().openapi({
      description:
        'When the settings as they are would have called; null while it is not known, and where they do not.',
    }),
    found: SoonerCall.nullable().openapi({
      description: 'The setting that calls soonest and for nothing new on the other batches.',
    }),
    refused: SoonerCall.extend({ batchId: Id, newCalls: z.int() })
      .nullable()
      .openapi({ description: 'One that calls sooner still, and on another batch too.' }),
    tried: z.int().openapi({ description: 'Settings that were tried on the batch.' }),
    checked: z.int().openapi({ description: 'Other batches that what was found was tried on.' }),
    cut: z.boolean().openapi({ description: 'The time was up before all were looked at.' }),
    error: z.string().nullable(),
  })
  .openapi('SoonerSearch')

export const Caught = z
  .object({
    cause: z
      .enum(CauseKind)
      .nullable()
      .openapi({ description: 'What it is about; null where no such cause is named.' }),
    damageAt: Time.nullable().openapi({ description: 'When that began, by the diagnosis.' }),
    called: Call.extend({
      alarmId: Id,
      acknowledgedAt: Time.nullable(),
      acknowledgedBy: z.string().nullable(),
      overAt: Time.nullable().openapi({
        description:
          'When what it called for was over; null if it was not while the batch lasted, or stands.',
      }),
      calls: z.int().openapi({ description: 'How often it called in all.' }),
    })
      .nullable()
      .openapi({ description: 'The first call for it that there was.' }),
    unwatched: z.string().nullable().openapi({
      description: 'Nothing that was measured could have called: what would have. null otherwise.',
    }),
    search: SoonerSearch.nullable().openapi({ description: 'null while it was not asked for.' }),
  })
  .openapi('Caught')

export type Caught = z.infer<typeof Caught>
export type SoonerSearch = z.infer<typeof SoonerSearch>
