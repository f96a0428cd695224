import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import {
  ByWhom,
  FinishedWalk,
  FinishWalk,
  NewWalk,
  Walk,
  WalkDraft,
  WalkList,
  WalkStep,
} from '../api/books.ts'
import { ById } from '../api/requests.ts'
import type { FinishWalk as RoomFinish } from '../../room/books/contract.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present-books.ts'
import { body, given, json, optionalBody, problems } from './describe.ts'
import { saidAt, saidBy } from './who.ts'

const tags = ['walks']
const list = createRoute({
  method: 'get',
  path: '/walks',
  tags,
  summary: 'Walked work that is under way: set-ups and harvests',
  responses: { 200: json(WalkList, 'The walks.'), ...problems() },
})
const begin = createRoute({
  method: 'post',
  path: '/walks',
  tags,
  summary: 'Begin to set up a vessel or to harvest it, or go on with what is under way there',
  request: { body: body(NewWalk) },
  responses: { 201: json(Walk, 'The walk.'), ...problems(404, 409, 413, 415, 422) },
})
const one = createRoute({
  method: 'get',
  path: '/walks/{id}',
  tags,
  summary: 'One walk that is under way',
  request: { params: ById },
  responses: { 200: json(Walk, 'The walk.'), ...problems(404, 422) },
})
const draft = createRoute({
  method: 'put',
  path: '/walks/{id}/draft',
  tags,
  summary: 'Keep what was typed so far',
  request: { params: ById, body: body(WalkDraft) },
  responses: { 200: json(Walk, 'The walk.'), ...problems(404, 413, 415, 422) },
})
const typed = createRoute({
  method: 'patch',
  path: '/walks/{id}/draft',
  tags,
  summary: 'Keep some fields of what was typed; the others stay',
  request: { params: ById, body: body(WalkDraft) },
  responses: { 200: json(Walk, 'The walk.'), ...problems(404, 413, 415, 422) },
})
const step = createRoute({
  method: 'post',
  path: '/walks/{id}/steps',
  tags,
  summary: 'Tick a step off, or take its tick back',
  description:
    "Steps of a harvest are written into the batch's log. With the air off, alarms of air and light are suppressed for half an hour.",
  request: { params: ById, body: body(WalkStep) },
  responses: { 200: json(Walk, 'The walk.'), ...problems(404, 409, 413, 415, 422) },
})
const finish = createRoute({
  method: 'post',
  path: '/walks/{id}/finish',
  tags,
  summary: 'Finish: a set-up becomes a batch, a harvest ends one',
  request: { params: ById, body: body(FinishWalk) },
  responses: { 200: json(FinishedWalk, 'The batch.'), ...problems(404, 409, 413, 415, 422) },
})
const abandon = createRoute({
  method: 'post',
  path: '/walks/{id}/abandon',
  tags,
  summary: 'Give a walk up; what its steps wrote stays in the log',
  request: { params: ById, body: optionalBody(ByWhom) },
  responses: { 204: { description: 'Given up.' }, ...problems(404, 413, 415, 422) },
})

export function walkRoutes({ books }: WebOptions): OpenAPIHono<WebEnv> {
  const { walks } = books
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => c.json({ walks: (await walks.list()).map(present.walk) }, 200))
    .openapi(begin, async c => {
      const { by, ...wanted } = c.req.valid('json')
      return c.json(present.walk(await walks.begin({ ...given(wanted), by: saidBy(c, by) })), 201)
    })
    .openapi(one, async c => c.json(present.walk(await walks.walk(c.req.valid('param').id)), 200))
    .openapi(draft, async c => {
      const kept = await walks.draft(c.req.valid('param').id, c.req.valid('json').draft)
      return c.json(present.walk(kept), 200)
    })
    .openapi(typed, async c => {
      const kept = await walks.typed(c.req.valid('param').id, c.req.valid('json').draft)
      return c.json(present.walk(kept), 200)
    })
    .openapi(step, async c => {
      const { at, by, ...ticked } = c.req.valid('json')
      const input = { ...ticked, ...saidAt(at), by: saidBy(c, by) }
      return c.json(present.walk(await walks.step(c.req.valid('param').id, input)), 200)
    })
    .openapi(finish, async c => {
      const { by, batch, ...rest } = c.req.valid('json')
      const input: RoomFinish = {
        ...given(rest),
        ...(batch === undefined ? {} : { batch: given(batch) }),
        by: saidBy(c, by),
      }
      return c.json(await walks.finish(c.req.valid('param').id, input), 200)
    })
    .openapi(abandon, async c => {
      await walks.abandon(c.req.valid('param').id, saidBy(c, c.req.valid('json').by))
      return c.body(null, 204)
    })
}
