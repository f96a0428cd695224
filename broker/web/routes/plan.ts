import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { z } from 'zod'
import type { Feeding } from '../../room/feeding/contract.ts'
import { CalendarAddress, Plan, PlannedById, PlanPreferences } from '../api/plan.ts'
import { Batch } from '../api/batches.ts'
import type { WebEnv } from '../context.ts'
import { planCalendar } from '../plan-calendar.ts'
import { CALENDAR_TYPE } from '../calendar-address.ts'
import { batch } from '../present-batch.ts'
import * as present from '../present-plan.ts'
import { body, json, problems } from './describe.ts'

const tags = ['plan']
const one = createRoute({
  method: 'get',
  path: '/plan',
  tags,
  summary: 'What to start when, so that every feeding is met',
  description: 'Made anew by itself when a batch, a forecast, a group of fry or a preference changes.',
  responses: { 200: json(Plan, 'The plan as of now.'), ...problems() },
})
const start = createRoute({
  method: 'post',
  path: '/plan/starts/{id}/start',
  tags,
  summary: 'Start a batch as it is planned, now',
  request: { params: PlannedById },
  responses: { 201: json(Batch, 'The new batch.'), ...problems(404, 409, 422) },
})
const preferences = createRoute({
  method: 'put',
  path: '/plan/preferences',
  tags,
  summary: 'Change what the plan goes by',
  request: { body: body(PlanPreferences) },
  responses: { 200: json(PlanPreferences, 'The preferences.'), ...problems(413, 415, 422) },
})
const calendar = createRoute({
  method: 'get',
  path: '/plan/calendar.ics',
  tags,
  summary: 'The plan as a calendar',
  responses: {
    200: { description: 'iCalendar (RFC 5545).', content: { 'text/calendar': { schema: z.string() } } },
    ...problems(),
  },
})
const address = createRoute({
  method: 'post',
  path: '/plan/calendar-address',
  tags,
  summary: 'Make a private address for calendars, in place of the one before',
  responses: { 201: json(CalendarAddress, 'The address, shown this once.'), ...problems() },
})
const revoke = createRoute({
  method: 'delete',
  path: '/plan/calendar-address',
  tags,
  summary: 'Let the private address for calendars be of no use any more',
  responses: { 204: { description: 'It is of no use any more.' }, ...problems() },
})

export function planRoutes(feeding: Feeding): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(one, async c => c.json(present.plan(await feeding.plan(), await feeding.hasCalendarKey()), 200))
    .openapi(start, async c => c.json(batch(await feeding.startPlanned(c.req.valid('param').id)), 201))
    .openapi(preferences, async c => c.json(await feeding.changePreferences(c.req.valid('json')), 200))
    .openapi(calendar, async c =>
      c.body(planCalendar(await feeding.plan()), 200, { 'Content-Type': CALENDAR_TYPE }),
    )
    .openapi(address, async c =>
      c.json({ path: `/calendar/${await feeding.newCalendarKey()}/feeding-plan.ics` }, 201),
    )
    .openapi(revoke, async c => {
      await feeding.dropCalendarKey()
      return c.body(null, 204)
    })
}
