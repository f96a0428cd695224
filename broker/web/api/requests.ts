import { z } from '@hono/zod-openapi'
import { DEVICE_NAME } from '../../../firmware-protocol/topics.ts'
import { States } from './alarm-acts.ts'
import { Id, Time } from './schemas.ts'

export const ById = z.object({ id: Id.openapi({ param: { name: 'id', in: 'path' } }) })

const ISO = Time.or(z.string().regex(/^\d{1,15}$/))
/** A moment in a query: ISO 8601 with an offset, or Unix ms. */
export const Moment = z
  .string()
  .refine(text => ISO.safeParse(text).success, 'Cannot read time: write ISO 8601 with an offset, or Unix ms')
  .openapi({ example: '2026-11-25T06:40:00.000Z' })

export const ReadingsQuery = z.object({
  from: Moment.optional().openapi({
    description: "The open batch's start when left out, or 24 h before `to`.",
  }),
  to: Moment.optional().openapi({ description: 'Now when left out.' }),
  points: z.coerce.number().int().min(2).max(5000).default(600).openapi({
    description: 'At most so many buckets a channel; each keeps its least, greatest and mean value.',
  }),
})

export const CourseQuery = z.object({
  from: Moment.optional().openapi({ description: "The batch's start when left out." }),
  to: Moment.optional().openapi({ description: 'Past its harvest when left out.' }),
  points: z.coerce.number().int().min(2).max(1000).default(240),
})

const Flag = z.enum(['true', 'false'])
const Limit = z.coerce.number().int().min(1).max(1000).default(100)

export const BatchQuery = z.object({
  vesselId: Id.optional(),
  lot: z.string().max(80).optional(),
  open: Flag.optional(),
  counted: Flag.optional().openapi({ description: 'With what each that was counted gave.' }),
  limit: Limit,
})
export const AlarmQuery = z.object({
  standing: Flag.default('true').openapi({
    description: 'Only those not back in normal; false for the past as well.',
  }),
  vesselId: Id.optional(),
  state: States.optional().openapi({ description: 'Only those in this state, or these.' }),
  limit: Limit,
})
export const QuarantineQuery = z.object({
  limit: Limit,
  before: z.coerce
    .number()
    .int()
    .min(1)
    .optional()
    .openapi({ description: 'Older than this id: the next page.' }),
})

export const Acknowledge = z
  .object({ by: z.string().trim().min(1).max(80).optional().openapi({ description: 'Who acknowledges.' }) })
  .openapi('Acknowledge')

export const NewDevice = z
  .object({
    name: z
      .string()
      .regex(
        DEVICE_NAME,
        'Cannot name device: use 1 to 63 letters, digits, "-" and "_", beginning with a letter or digit',
      )
      .openapi({ example: 'bench-1' }),
  })
  .openapi('NewDevice')

/** Shown once: only a hash of the password is kept. */
export const DeviceCredential = z
  .object({ device: z.string(), password: z.string() })
  .openapi('DeviceCredential')
