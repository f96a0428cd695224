import { z } from '@hono/zod-openapi'
import { ReminderKind } from '../../rules/reminders.ts'
import { Id, Time } from './schemas.ts'

export const Reminder = z
  .object({
    id: z.string(),
    kind: z.enum(ReminderKind),
    vesselId: Id.nullable().openapi({ description: 'null: of no vessel.' }),
    batchId: Id.nullable(),
    dueAt: Time,
    until: Time.openapi({ description: 'When it has lost its sense.' }),
    title: z.string(),
    text: z.string(),
    page: z.string().openapi({
      description: 'The page of the dashboard on which it is seen to: path and query.',
      example: '/harvest?of=v1',
    }),
  })
  .openapi('Reminder')
export const ReminderList = z.object({ reminders: z.array(Reminder) }).openapi('ReminderList')
export const ReminderById = z.object({
  id: z
    .string()
    .min(1)
    .max(100)
    .openapi({ param: { name: 'id', in: 'path' } }),
})
export const DoneReminder = z
  .object({ by: z.string().trim().min(1).max(80).optional() })
  .openapi('DoneReminder')

export type Reminder = z.infer<typeof Reminder>
