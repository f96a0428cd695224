import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { AlarmList } from '../api/lists.ts'
import { Acknowledge, AlarmQuery, ById } from '../api/requests.ts'
import { Alarm } from '../api/schemas.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import { given, json, optionalBody, problems } from './describe.ts'

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

/** Who acknowledged, when nobody says so. */
const SOMEBODY = 'somebody at the screen'

export function alarmRoutes({ room }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => {
      const { standing, vesselId, limit } = c.req.valid('query')
      const alarms = await room.alarms({ standing: standing === 'true', ...given({ vesselId }), limit })
      return c.json({ alarms: alarms.map(present.alarm) }, 200)
    })
    .openapi(acknowledge, async c => {
      const by = c.req.valid('json').by ?? c.get('identity')?.name ?? SOMEBODY
      return c.json(present.alarm(await room.acknowledge(c.req.valid('param').id, by)), 200)
    })
}
