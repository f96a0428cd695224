import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { ByWhom, DrawById, HeldList, HeldPortion, HeldQuery, NewDraw } from '../api/books.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present-books.ts'
import { body, json, optionalBody, problems } from './describe.ts'
import { saidAt, saidBy } from './who.ts'

const tags = ['held']
const list = createRoute({
  method: 'get',
  path: '/held',
  tags,
  summary: 'What is in the refrigerator: how many, since when, what they are worth, until when',
  description: "Portions are put there by an entry 'taken' for 'held' in a batch's log.",
  request: { query: HeldQuery },
  responses: { 200: json(HeldList, 'The portions, the oldest first.'), ...problems(422) },
})
const draw = createRoute({
  method: 'post',
  path: '/held/{id}/draws',
  tags,
  summary: 'Take from a portion: fed, or thrown away',
  request: { params: ById, body: body(NewDraw) },
  responses: { 201: json(HeldPortion, 'The portion.'), ...problems(404, 409, 413, 415, 422) },
})
const withdraw = createRoute({
  method: 'post',
  path: '/held/{id}/draws/{drawId}/withdraw',
  tags,
  summary: 'Take a draw back: it stays in the log and counts no more',
  request: { params: DrawById, body: optionalBody(ByWhom) },
  responses: { 200: json(HeldPortion, 'The portion.'), ...problems(404, 413, 415, 422) },
})

export function heldRoutes({ books, room }: WebOptions): OpenAPIHono<WebEnv> {
  const { held } = books
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => {
      const portions = await held.list({ gone: c.req.valid('query').gone === 'true' })
      const of = new Set(portions.map(({ vesselId }) => vesselId))
      const named = (await room.everyVessel()).filter(({ id }) => of.has(id))
      const names = Object.fromEntries(named.map(({ id, name }) => [id, name]))
      return c.json({ held: portions.map(present.held), names }, 200)
    })
    .openapi(draw, async c => {
      const { at, by, ...wanted } = c.req.valid('json')
      const input = { ...wanted, ...saidAt(at), by: saidBy(c, by) }
      return c.json(present.held(await held.draw(c.req.valid('param').id, input)), 201)
    })
    .openapi(withdraw, async c => {
      const { id, drawId } = c.req.valid('param')
      return c.json(present.held(await held.withdrawDraw(id, drawId)), 200)
    })
}
