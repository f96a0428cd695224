import { z } from '@hono/zod-openapi'
import { Quality } from '../../intake/reading.ts'
import { AlarmState, Priority, Reason, RuleName } from '../../rules/alarm.ts'
import { HarvestGoal } from '../../hatch/contract.ts'
import { acknowledgedBefore } from './schema-parts.ts'

export { Settings } from './settings.ts'

/** ISO 8601 in UTC, as every time in the API but the columns of readings. */
export const Time = z.iso.datetime({ offset: true }).openapi({ example: '2026-11-25T06:40:00.000Z' })
export const Id = z.string().min(1).max(64)
export const Name = z
  .string()
  .trim()
  .min(1)
  .max(80)
  .regex(/^\P{Cc}*$/u, 'It must be one line of text')
/** `<device>/<channel>`: `bench-1/water`, `bench-1/2/air`. */
export const ChannelRef = z
  .string()
  .max(200)
  .regex(
    /^[A-Za-z0-9][A-Za-z0-9_-]{0,62}\/\S+$/,
    'Cannot read channel: write device/channel, like bench-1/water',
  )
  .openapi({ example: 'bench-1/water' })

export const BandOfTimes = z.object({ p10: Time, p50: Time, p90: Time }).openapi('BandOfTimes')
export const BandOfNumbers = z
  .object({ p10: z.number(), p50: z.number(), p90: z.number() })
  .openapi('BandOfNumbers')

export const Latest = z
  .object({ value: z.number().nullable(), at: Time, quality: z.enum(Quality) })
  .openapi('Latest')

/** Which food is wanted: `smallest` nauplii are taken earlier, `most` food later. */
export const Goal = z.enum(HarvestGoal).openapi({ description: 'Which food the harvest window is for.' })

export const Alarm = z
  .object({
    id: Id,
    vesselId: Id.nullable().openapi({ description: 'null: of the whole room, or of the service itself.' }),
    rule: z.enum(RuleName),
    state: z.enum(AlarmState),
    priority: z.enum(Priority),
    raisedAt: Time,
    clearedAt: Time.nullable(),
    acknowledgedAt: Time.nullable(),
    acknowledgedBy: z.string().nullable(),
    acknowledgedBefore: acknowledgedBefore(Time).optional(),
    reason: z.enum(Reason),
    action: z.string().openapi({
      description:
        'What to do first, in one short sentence; empty in alarms kept before there was one. The text has it too.',
      example: 'Switch the lamp off at a dry plug; leave the air on.',
    }),
    text: z.string(),
    value: z.number().nullable(),
    limit: z.number().nullable(),
    announcedAt: Time.nullable().openapi({
      description: 'When it called last; null while it never has, suppressed or out of service all along.',
    }),
    shelvedUntil: Time.nullable().openapi({ description: 'While shelved: when it ends at the latest.' }),
    shelvedOnce: z.boolean().openapi({ description: 'Shelved only until it returns to normal.' }),
    setAsideBy: z.string().nullable().openapi({ description: 'Who shelved it or took it out of service.' }),
    outUntil: Time.optional().openapi({
      description: 'While out of service: when it returns by itself, if it does.',
    }),
    outWhy: z.string().optional().openapi({ description: 'While out of service: what for, if said.' }),
    suppressedUntil: Time.nullable().openapi({ description: 'While suppressed for work: until when.' }),
    causedBy: Id.nullable().openapi({
      description: 'The standing alarm that it is a consequence of; suppressed while that one stands.',
    }),
    takes: z.int().optional().openapi({ description: 'How many vessels it takes, if not one.' }),
    consequences: z.array(Id).openapi({ description: 'The alarms that are a consequence of this one.' }),
  })
  .openapi('Alarm')

/** RFC 9457. */
export const Problem = z
  .object({
    type: z.string(),
    title: z.string(),
    status: z.int(),
    detail: z.string().optional(),
    errorId: z
      .string()
      .optional()
      .openapi({ description: 'On a failure of the service: the same id is in its log.' }),
    batchId: Id.optional().openapi({
      description: 'Of a file that cannot be brought in: the batch that is here.',
    }),
    errors: z
      .array(z.object({ field: z.string(), message: z.string() }))
      .optional()
      .openapi({ description: 'One entry for each field that is wrong.' }),
  })
  .openapi('Problem')

export type Alarm = z.infer<typeof Alarm>
export type Latest = z.infer<typeof Latest>
export type Problem = z.infer<typeof Problem>
