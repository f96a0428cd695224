import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { ByWhom, Shelve, statesOf, Suppress, Suppression, TakeOut, VesselRule } from '../api/alarm-acts.ts'
import { AlarmList } from '../api/lists.ts'
import { Acknowledge, AlarmQuery, ById } from '../api/requests.ts'
import { Alarm } from '../api/schemas.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import { body, given, json, optionalBody, problems } from './describe.ts'
import { saidBy } from './who.ts'

const tags = ['alarms']
const list = createRoute({
  method: 'get',
  path: '/alarms',
  tags,
  summary: 'Alarms: those that stand, or the past as well',
  request: { query: AlarmQuery },
  responses: { 200: json(AlarmList, 'The alarms.'), ...problems(422) },
})
const acknowledge = createRoute({
  method: 'post',
  path: '/alarms/{id}/acknowledge',
  tags,
  summary: 'Say that the alarm was heard and is being seen to',
  request: { params: ById, body: optionalBody(Acknowledge) },
  responses: { 200: json(Alarm, 'The alarm.'), ...problems(404, 409, 413, 415, 422) },
})
const reset = createRoute({
  method: 'post',
  path: '/alarms/{id}/reset',
  tags,
  summary: 'Let go of an alarm that is over and latched',
  request: { params: ById, body: optionalBody(ByWhom) },
  responses: { 200: json(Alarm, 'The alarm.'), ...problems(404, 409, 413, 415, 422) },
})
const shelve = createRoute({
  method: 'post',
  path: '/alarms/{id}/shelve',
  tags,
  summary: 'Set a standing alarm aside for a time',
  description: 'It comes back by itself, and at once if it becomes more urgent than it was.',
  request: { params: ById, body: body(Shelve) },
  responses: { 200: json(Alarm, 'The alarm.'), ...problems(404, 409, 413, 415, 422) },
})
const unshelve = createRoute({
  method: 'post',
  path: '/alarms/{id}/unshelve',
  tags,
  summary: 'Bring back an alarm that was put off',
  request: { params: ById, body: optionalBody(ByWhom) },
  responses: { 200: json(Alarm, 'The alarm.'), ...problems(404, 409, 413, 415, 422) },
})
const takeOut = createRoute({
  method: 'post',
  path: '/vessels/{id}/rules/{rule}/out-of-service',
  tags,
  summary: 'Take a rule of a vessel out of service: nobody is called for it until it is returned',
  description: 'Sent again, until when and what for are said anew.',
  request: { params: VesselRule, body: optionalBody(TakeOut) },
  responses: {
    200: json(Alarm, 'Its alarm, listed until the rule is returned.'),
    ...problems(404, 409, 413, 415, 422),
  },
})
const putBack = createRoute({
  method: 'post',
  path: '/vessels/{id}/rules/{rule}/in-service',
  tags,
  summary: 'Return a rule to service; what holds then is judged anew',
  request: { params: VesselRule, body: optionalBody(ByWhom) },
  responses: { 200: json(Alarm, 'Its alarm.'), ...problems(404, 409, 413, 415, 422) },
})
const suppress = createRoute({
  method: 'post',
  path: '/vessels/{id}/suppress',
  tags,
  summary: 'Say that work goes on at the vessel: what it disturbs calls nobody meanwhile',
  description:
    'Air, light and water level only; heat is told all the same. Sent again, the time begins anew.',
  request: { params: ById, body: body(Suppress) },
  responses: { 200: json(Suppression, 'Until when.'), ...problems(404, 409, 413, 415, 422) },
})
const endSuppression = createRoute({
  method: 'delete',
  path: '/vessels/{id}/suppress',
  tags,
  summary: 'Say that the work is over; what holds then is judged anew',
  request: { params: ById },
  responses: { 204: { description: 'Nothing is suppressed for work.' }, ...problems(404, 422) },
})

const MINUTE_MS = 60_000

export function alarmRoutes({ room }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => {
      const { standing, vesselId, state, limit } = c.req.valid('query')
      const states = state === undefined ? undefined : statesOf(state)
      const query = { standing: standing === 'true', ...given({ vesselId, states }), limit }
      return c.json({ alarms: (await room.alarms(query)).map(present.alarm) }, 200)
    })
    .openapi(acknowledge, async c => {
      const by = saidBy(c, c.req.valid('json').by)
      return c.json(present.alarm(await room.acknowledge(c.req.valid('param').id, by)), 200)
    })
    .openapi(reset, async c => {
      const by = saidBy(c, c.req.valid('json').by)
      return c.json(present.alarm(await room.resetAlarm(c.req.valid('param').id, by)), 200)
    })
    .openapi(shelve, async c => {
      const { minutes, oneShot, by } = c.req.valid('json')
      const forMs = minutes === undefined ? undefined : minutes * MINUTE_MS
      const input = { ...given({ oneShot, forMs }), by: saidBy(c, by) }
      return c.json(present.alarm(await room.shelve(c.req.valid('param').id, input)), 200)
    })
    .openapi(unshelve, async c => {
      const by = saidBy(c, c.req.valid('json').by)
      return c.json(present.alarm(await room.unshelve(c.req.valid('param').id, by)), 200)
    })
    .openapi(takeOut, async c => {
      const { id, rule } = c.req.valid('param')
      const { minutes, why, by } = c.req.valid('json')
      const forMs = minutes === undefined ? undefined : minutes * MINUTE_MS
      const input = { ...given({ forMs, why }), by: saidBy(c, by) }
      return c.json(present.alarm(await room.takeOutOfService(id, rule, input)), 200)
    })
    .openapi(putBack, async c => {
      const { id, rule } = c.req.valid('param')
      const by = saidBy(c, c.req.valid('json').by)
      return c.json(present.alarm(await room.returnToService(id, rule, by)), 200)
    })
    .openapi(suppress, async c => {
      const { reason, minutes, by } = c.req.valid('json')
      const input = { reason, forMs: minutes * MINUTE_MS, by: saidBy(c, by) }
      return c.json(present.suppression(await room.suppress(c.req.valid('param').id, input)), 200)
    })
    .openapi(endSuppression, async c => {
      await room.endSuppression(c.req.valid('param').id, saidBy(c, undefined))
      return c.body(null, 204)
    })
}
