import { z } from '@hono/zod-openapi'
import { Change, MOST_BATCHES, TryOutState, Untried, USUAL_BATCHES } from '../../replay/contract.ts'
import { AlarmState, Priority, Reason, RuleName } from '../../rules/alarm.ts'
import { Id, Settings, Time } from './schemas.ts'

/** One rule's settings, all of them. */
const Rule = Settings.shape.rules.shape['water-too-hot']

export const NewTryOut = z
  .object({
    rules: z
      .partialRecord(z.enum(RuleName), Rule)
      .openapi({ description: 'The rules that are to be other than they are.' }),
    batchIds: z.array(Id).min(1).max(MOST_BATCHES).optional(),
    newest: z.int().min(1).max(MOST_BATCHES).default(USUAL_BATCHES).openapi({
      description:
        'Without `batchIds`: the newest so many batches that ended, and besides them those that are still running, up to now.',
    }),
  })
  .strict()
  .openapi('NewTryOut')

const Occurrence = z
  .object({
    vesselId: Id.nullable(),
    rule: z.enum(RuleName),
    priority: z.enum(Priority),
    raisedAt: Time,
    calledAt: z.array(Time),
    clearedAt: Time.nullable(),
    state: z.enum(AlarmState),
    reason: z.enum(Reason),
    causedBy: z.enum(RuleName).nullable(),
    value: z.number().nullable(),
  })
  .openapi('Occurrence')

export const TriedBatch = z
  .object({
    batchId: Id,
    vesselId: Id,
    startedAt: Time,
    until: Time,
    running: z.boolean().openapi({ description: 'It has not ended: it was tried as far as it had come.' }),
    untried: z.enum(Untried).nullable().openapi({ description: 'Why nothing can be said of it.' }),
    alarms: z.array(
      z.object({
        change: z.enum(Change),
        rule: z.enum(RuleName),
        now: Occurrence.nullable().openapi({ description: 'With the settings as they are.' }),
        then: Occurrence.nullable().openapi({ description: 'With those that were sent.' }),
        byMin: z
          .number()
          .openapi({ description: 'How much later the first call comes; negative is earlier.' }),
      }),
    ),
    silent: z.object({ now: z.int(), then: z.int() }).openapi({
      description: 'Alarms that call nobody: suppressed for their cause, or for work.',
    }),
  })
  .openapi('TriedBatch')

export const TryOut = z
  .object({
    id: Id,
    state: z.enum(TryOutState),
    progress: z.number().openapi({ description: '0 to 1.' }),
    total: z.int().nullable().openapi({ description: 'Batches in all; null while that is not known.' }),
    batches: z.array(TriedBatch).openapi({ description: 'Those that are done so far, the newest first.' }),
    pending: z
      .array(z.object({ batchId: Id, vesselId: Id, startedAt: Time, progress: z.number() }))
      .openapi({ description: 'Those that are still to be done, and how far each is, 0 to 1.' }),
    names: z
      .record(Id, z.string())
      .openapi({ description: 'What the vessels are called, by their ids: also those that are gone.' }),
    error: z.string().nullable(),
  })
  .openapi('TryOut')

export type NewTryOut = z.input<typeof NewTryOut>
export type TryOut = z.infer<typeof TryOut>
export type TriedBatch = z.infer<typeof TriedBatch>
