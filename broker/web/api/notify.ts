import { z } from '@hono/zod-openapi'
import { Priority } from '../../rules/alarm.ts'
import { DeliveryState } from '../../store/contract.ts'
import { Id, Name, Time } from './schemas.ts'

/** The ways by which a person can be reached. */
const Kind = z.enum(['email', 'webhook', 'push'])

const TimeOfDay = z
  .string()
  .regex(/^([01]\d|2[0-3]):[0-5]\d$/, 'Write a time of day like 07:30')
  .openapi({ example: '07:30' })

const Hours = z
  .object({
    from: TimeOfDay,
    to: TimeOfDay.openapi({
      description: 'Before `from`: the hours run over midnight. Alike: the whole day.',
    }),
    zone: z.string().min(1).max(64).openapi({ example: 'Europe/Vienna' }),
  })
  .openapi('Hours')

const personFields = {
  name: Name,
  afterMinutes: z.int().min(0).max(1440).openapi({
    description: 'Called when nobody has acknowledged for so many minutes; 0 is at once.',
  }),
  hours: Hours.nullable().openapi({ description: 'null: at any hour.' }),
  criticalAnyHour: z.boolean().openapi({ description: 'Critical alarms come outside the hours too.' }),
}
const addressFields = {
  kind: Kind,
  label: z.string().trim().max(80),
  fromPriority: z.enum(Priority).openapi({ description: 'The least priority that is sent here.' }),
  reminders: z.boolean().openapi({ description: 'Whether reminders are sent here too.' }),
}
const mailFields = {
  host: z.string().trim().min(1).max(255),
  port: z.int().min(1).max(65535),
  security: z.enum(['tls', 'starttls', 'none']),
  user: z.string().max(320).nullable(),
  from: z
    .string()
    .trim()
    .max(320)
    .regex(/^[^\s@,;<>"()]+@[^\s@,;<>"()]+$/, 'Write one e-mail address, like hatchery@example.org'),
}

export const NotifySettings = z
  .object({
    people: z.array(
      z.object({
        id: Id,
        ...personFields,
        addresses: z.array(
          z.object({
            id: Id,
            ...addressFields,
            address: z.string().nullable().openapi({ description: 'Not told of a push subscription.' }),
          }),
        ),
      }),
    ),
    tellWhenOver: z.boolean(),
    publicUrl: z.string().nullable(),
    linkBase: z.string().nullable().openapi({ description: 'What links in messages begin with now.' }),
    email: z.object({ ...mailFields, hasPassword: z.boolean() }).nullable(),
    webhook: z.object({ hasSecret: z.boolean() }),
    push: z.object({
      contact: z.string().nullable().openapi({
        description: 'Whom push services may write to about what is sent: `mailto:` or `https:` (RFC 8292).',
      }),
    }),
    channels: z.array(z.object({ kind: Kind, usable: z.boolean(), failing: z.boolean() })),
  })
  .openapi('NotifySettings')

const secret = (description: string) =>
  z.string().min(1).max(500).nullable().optional().openapi({ description })

export const ChangeNotify = z
  .object({
    people: z.array(
      z.object({
        id: Id.optional().openapi({ description: 'Left out for somebody new.' }),
        ...personFields,
        addresses: z.array(
          z.object({
            id: Id.optional().openapi({ description: 'Left out for a new address.' }),
            ...addressFields,
            address: z.string().trim().max(2000).optional().openapi({
              description: 'An e-mail address or a URL. Left out it stays as it is.',
            }),
          }),
        ),
      }),
    ),
    tellWhenOver: z.boolean().default(true),
    publicUrl: z.string().trim().max(500).nullable().default(null).openapi({
      description: 'The address of the dashboard as people reach it; null: as the service finds it.',
    }),
    email: z
      .object({
        ...mailFields,
        password: secret('Never told again. Left out it stays as it is; null takes it away.'),
      })
      .nullable()
      .default(null),
    webhook: z
      .object({ secret: secret('Signs what is sent. Left out it stays as it is; null takes it away.') })
      .default({}),
    push: z
      .object({ contact: z.string().trim().max(320).nullable() })
      .optional()
      .openapi({ description: 'Left out it stays as it is. An e-mail address, or one with https.' }),
  })
  .openapi('ChangeNotify')

export const TestNotify = z.object({ personId: Id, addressId: Id }).openapi('TestNotify')
export const TestResult = z
  .object({
    arrived: z.boolean().openapi({ description: 'Whether the other side took the message over.' }),
    words: z.string(),
  })
  .openapi('TestResult')

export const OutboxQuery = z.object({ limit: z.coerce.number().int().min(1).max(500).default(50) })
export const OutboxList = z
  .object({
    deliveries: z.array(
      z
        .object({
          id: z.string(),
          kind: z.string(),
          about: z.enum(['alarm', 'reminder', 'test']),
          occasion: z.enum(['raised', 'again', 'escalated', 'over', 'reminder', 'test']),
          title: z.string(),
          priority: z.enum(Priority),
          alarmId: z.string().nullable(),
          person: z.string().openapi({ description: 'Empty for somebody who is no longer called.' }),
          label: z.string(),
          state: z.enum(DeliveryState),
          attempts: z.int(),
          at: Time,
          nextAt: Time.nullable().openapi({ description: 'When it is tried again; null once it is done.' }),
          doneAt: Time.nullable(),
          error: z.string().nullable().openapi({ description: 'What went wrong the last time.' }),
        })
        .openapi('Delivery'),
    ),
  })
  .openapi('OutboxList')

export type NotifySettings = z.infer<typeof NotifySettings>
export type ChangeNotify = z.infer<typeof ChangeNotify>
export type OutboxList = z.infer<typeof OutboxList>
