import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import {
  ByWhom,
  ChangeLot,
  LotDetail,
  LotOnShelf,
  LotShelf,
  NewLot,
  NewWeighing,
  Weighing,
  WeighingById,
} from '../api/books.ts'
import { LotList } from '../api/events.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { lot as learnedLot } from '../present-batch.ts'
import * as present from '../present-books.ts'
import { body, given, json, optionalBody, problems } from './describe.ts'
import { saidAt, saidBy } from './who.ts'

const tags = ['lots']
const learned = createRoute({
  method: 'get',
  path: '/lots',
  tags,
  summary: 'What is known of the lots of cysts, the one used last first',
  description: 'Learned from what was seen and counted of their batches. At most 100.',
  responses: { 200: json(LotList, 'The lots.'), ...problems() },
})
const shelf = createRoute({
  method: 'get',
  path: '/shelf',
  tags,
  summary: 'The lots on the shelf: what is left of each, where it is kept, until when',
  description: 'The one used last first, those put away at the end.',
  responses: { 200: json(LotShelf, 'The lots.'), ...problems() },
})
const add = createRoute({
  method: 'post',
  path: '/shelf',
  tags,
  summary: 'Put a lot on the shelf',
  request: { body: body(NewLot) },
  responses: { 201: json(LotOnShelf, 'The lot.'), ...problems(409, 413, 415, 422) },
})
const one = createRoute({
  method: 'get',
  path: '/shelf/{id}',
  tags,
  summary: 'One lot with the control charts of its harvests, its verdict and its weighings',
  request: { params: ById },
  responses: { 200: json(LotDetail, 'The lot.'), ...problems(404, 422) },
})
const alter = createRoute({
  method: 'patch',
  path: '/shelf/{id}',
  tags,
  summary: 'Correct what was written down of a lot, or put it away',
  description: 'A new name goes to its batches too. What it was before is kept.',
  request: { params: ById, body: body(ChangeLot) },
  responses: { 200: json(LotOnShelf, 'The lot.'), ...problems(404, 409, 413, 415, 422) },
})
const weigh = createRoute({
  method: 'post',
  path: '/shelf/{id}/weighings',
  tags,
  summary: 'Write down what is left of a lot, as weighed',
  request: { params: ById, body: body(NewWeighing) },
  responses: { 201: json(Weighing, 'The weighing.'), ...problems(404, 413, 415, 422) },
})
const withdraw = createRoute({
  method: 'post',
  path: '/shelf/{id}/weighings/{weighingId}/withdraw',
  tags,
  summary: 'Take a weighing back: it stays in the log and counts no more',
  request: { params: WeighingById, body: optionalBody(ByWhom) },
  responses: { 200: json(Weighing, 'The weighing.'), ...problems(404, 413, 415, 422) },
})

export function lotRoutes({ room, books }: WebOptions): OpenAPIHono<WebEnv> {
  const { lots } = books
  return new OpenAPIHono<WebEnv>()
    .openapi(learned, async c => c.json({ lots: (await room.lots()).map(learnedLot) }, 200))
    .openapi(shelf, async c => c.json({ lots: (await lots.list()).map(present.lot) }, 200))
    .openapi(add, async c => c.json(present.lot(await lots.add(c.req.valid('json'))), 201))
    .openapi(one, async c => c.json(present.lotDetail(await lots.lot(c.req.valid('param').id)), 200))
    .openapi(alter, async c => {
      const { by, ...change } = c.req.valid('json')
      return c.json(
        present.lot(await lots.change(c.req.valid('param').id, given(change), saidBy(c, by))),
        200,
      )
    })
    .openapi(weigh, async c => {
      const { at, by, gramsLeft } = c.req.valid('json')
      const said = { gramsLeft, ...saidAt(at), by: saidBy(c, by) }
      return c.json(present.weighing(await lots.weigh(c.req.valid('param').id, said)), 201)
    })
    .openapi(withdraw, async c => {
      const { id, weighingId } = c.req.valid('param')
      return c.json(present.weighing(await lots.withdrawWeighing(id, weighingId)), 200)
    })
}
