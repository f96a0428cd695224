import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { BatchEvent, BatchEventList, EventById, NewBatchEvent } from '../api/events.ts'
import { ById } from '../api/requests.ts'
import type { NewBatchEvent as NewRoomEvent } from '../../room/event-contract.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { batchEvent } from '../present-batch.ts'
import { body, given, json, momentMs, problems } from './describe.ts'
import { placeOf } from './place-of.ts'
import { saidBy } from './who.ts'

const tags = ['batches']
const list = createRoute({
  method: 'get',
  path: '/batches/{id}/events',
  tags,
  summary: 'What people saw and did with a batch, in the order of its time',
  description: 'What was taken back is among it, with the time at which it was.',
  request: { params: ById },
  responses: { 200: json(BatchEventList, 'The log.'), ...problems(404, 422) },
})
const record = createRoute({
  method: 'post',
  path: '/batches/{id}/events',
  tags,
  summary: 'Write down what was seen or done: first swimmers, a count, foam, a pH, what was taken',
  description: "The forecasts of this batch and of its lot's other batches learn from it.",
  request: { params: ById, body: body(NewBatchEvent) },
  responses: { 201: json(BatchEvent, 'The entry.'), ...problems(404, 409, 413, 415, 422) },
})
const withdraw = createRoute({
  method: 'post',
  path: '/batches/{id}/events/{eventId}/withdraw',
  tags,
  summary: 'Take an entry back: it stays in the log and counts no more',
  request: { params: EventById },
  responses: { 200: json(BatchEvent, 'The entry.'), ...problems(404, 422) },
})

export function batchEventRoutes(options: WebOptions): OpenAPIHono<WebEnv> {
  const { room } = options
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => {
      const { id } = c.req.valid('param')
      const events = await (await placeOf(options, id)).room.batchEvents(id)
      return c.json({ events: events.map(batchEvent) }, 200)
    })
    .openapi(record, async c => {
      const { at, by, replaces, ...seen } = c.req.valid('json')
      const said = seen.kind === 'taken' ? { ...seen, energyLeft: null, firstOutAtMs: null } : seen
      const entry: NewRoomEvent = {
        ...said,
        by: saidBy(c, by),
        ...given({ atMs: at === undefined ? undefined : momentMs('at', at), replaces }),
      }
      return c.json(batchEvent(await room.recordEvent(c.req.valid('param').id, entry)), 201)
    })
    .openapi(withdraw, async c => {
      const { id, eventId } = c.req.valid('param')
      return c.json(batchEvent(await room.withdrawEvent(id, eventId)), 200)
    })
}
