import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { DoneReminder, Reminder, ReminderById, ReminderList } from '../api/reminders.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import { json, optionalBody, problems } from './describe.ts'
import { saidBy } from './who.ts'

const tags = ['reminders']
const list = createRoute({
  method: 'get',
  path: '/reminders',
  tags,
  summary: 'What the batches ask to be done now',
  description:
    'No alarms: nothing sounds for them, and they go away by themselves once they have lost their sense.',
  responses: { 200: json(ReminderList, 'Those that are due, the oldest first.'), ...problems() },
})
const done = createRoute({
  method: 'post',
  path: '/reminders/{id}/done',
  tags,
  summary: 'Say that it is done, or that no more is to be heard of it',
  request: { params: ReminderById, body: optionalBody(DoneReminder) },
  responses: { 200: json(Reminder, 'The reminder.'), ...problems(404, 413, 415, 422) },
})

const undone = createRoute({
  method: 'delete',
  path: '/reminders/{id}/done',
  tags,
  summary: 'Say that it is not done after all',
  description: 'It is due again, if it still makes sense.',
  request: { params: ReminderById },
  responses: { 204: { description: 'It counts as not done.' }, ...problems(404, 422) },
})

export function reminderRoutes({ room }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(list, c => c.json({ reminders: room.reminders().map(present.reminder) }, 200))
    .openapi(done, async c => {
      const by = saidBy(c, c.req.valid('json').by)
      return c.json(present.reminder(await room.doneReminder(c.req.valid('param').id, by)), 200)
    })
    .openapi(undone, async c => {
      await room.undoReminder(c.req.valid('param').id)
      return c.body(null, 204)
    })
}
