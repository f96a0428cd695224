import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import type { Clock } from '../../clock.ts'
import { FedFrom, type Feeding } from '../../room/feeding/contract.ts'
import { GivenFeeding, GivenList, GivenQuery, NewFeeding } from '../api/plan.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv } from '../context.ts'
import * as present from '../present-plan.ts'
import { body, json, momentMs, problems } from './describe.ts'
import { saidAt, saidBy } from './who.ts'

const tags = ['feedings']
/** What is listed when nobody says from when, ms. */
const LISTED_MS = 36 * 3_600_000

const list = createRoute({
  method: 'get',
  path: '/feedings',
  tags,
  summary: 'Feedings that were given, those taken back among them',
  request: { query: GivenQuery },
  responses: { 200: json(GivenList, 'In the order of their time.'), ...problems(422) },
})
const give = createRoute({
  method: 'post',
  path: '/feedings',
  tags,
  summary: 'Tick a feeding off: how many were given, and from what',
  description:
    'A portion in the refrigerator, or the harvest of a batch, has so many fewer from then on. From several sources all is taken, or nothing, and taking it back gives all of it back.',
  request: { body: body(NewFeeding) },
  responses: { 201: json(GivenFeeding, 'The entry.'), ...problems(404, 409, 413, 415, 422) },
})
const withdraw = createRoute({
  method: 'post',
  path: '/feedings/{id}/withdraw',
  tags,
  summary: 'Take a feeding back, and what it took with it: it stays in the log',
  request: { params: ById },
  responses: { 200: json(GivenFeeding, 'The entry.'), ...problems(404, 422) },
})

export function feedingRoutes({ given }: Feeding, clock: Clock): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => {
      const { from } = c.req.valid('query')
      const feedings = await given.list(from === undefined ? clock() - LISTED_MS : momentMs('from', from))
      return c.json({ feedings: feedings.map(present.given) }, 200)
    })
    .openapi(give, async c => {
      const {
        at,
        by,
        cohortId,
        mealId,
        parts,
        nauplii = null,
        from = FedFrom.other,
        fromId,
        more = false,
      } = c.req.valid('json')
      const source = parts ? { parts } : { nauplii, from, fromId }
      const kept = await given.give({ cohortId, mealId, ...source, more, ...saidAt(at), by: saidBy(c, by) })
      return c.json(present.given(kept), 201)
    })
    .openapi(withdraw, async c => c.json(present.given(await given.withdraw(c.req.valid('param').id)), 200))
}
