import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { BatchList } from '../api/lists.ts'
import { BatchQuery, ById, CourseQuery, ReadingsQuery } from '../api/requests.ts'
import { Course } from '../api/events.ts'
import { Forecast } from '../api/forecast.ts'
import { Batch, ChangeBatch, EndBatch, NewBatch } from '../api/batches.ts'
import { Readings } from '../api/vessels.ts'
import type { BatchRow } from '../../store/contract.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { readings as presentReadings } from '../present.ts'
import * as present from '../present-batch.ts'
import { countedOf } from '../present-compare.ts'
import { body, optionalBody, given, json, momentMs, problems } from './describe.ts'
import { placeOf } from './place-of.ts'
import { spanOf } from './span.ts'
import { saidBy } from './who.ts'

const tags = ['batches']
const list = createRoute({
  method: 'get',
  path: '/batches',
  tags,
  summary: 'Batches, the latest first',
  request: { query: BatchQuery },
  responses: { 200: json(BatchList, 'The batches.'), ...problems(422) },
})
const start = createRoute({
  method: 'post',
  path: '/batches',
  tags,
  summary: 'Start a batch: cysts into the water',
  request: { body: body(NewBatch) },
  responses: { 201: json(Batch, 'The new batch.'), ...problems(404, 409, 413, 415, 422) },
})
const one = createRoute({
  method: 'get',
  path: '/batches/{id}',
  tags,
  summary: 'One batch',
  request: { params: ById },
  responses: { 200: json(Batch, 'The batch.'), ...problems(404, 422) },
})
const alter = createRoute({
  method: 'patch',
  path: '/batches/{id}',
  tags,
  summary: 'Correct what was written down of a batch, or choose another harvest goal',
  request: { params: ById, body: body(ChangeBatch) },
  responses: { 200: json(Batch, 'The batch.'), ...problems(404, 409, 413, 415, 422) },
})
const discard = createRoute({
  method: 'post',
  path: '/batches/{id}/discard',
  tags,
  summary: 'Discard a batch that was started by mistake',
  description: 'It is gone from every list and teaches nothing of its lot. The readings stay.',
  request: { params: ById },
  responses: { 204: { description: 'Gone.' }, ...problems(404, 422) },
})
const end = createRoute({
  method: 'post',
  path: '/batches/{id}/end',
  tags,
  summary: 'End a batch: harvested, or given up',
  request: { params: ById, body: optionalBody(EndBatch) },
  responses: { 200: json(Batch, 'The ended batch.'), ...problems(404, 409, 413, 415, 422) },
})
const forecast = createRoute({
  method: 'get',
  path: '/batches/{id}/forecast',
  tags,
  summary: 'When it hatches and when to harvest',
  description: 'As of now for an open batch, as of its end for an ended one.',
  request: { params: ById },
  responses: { 200: json(Forecast, 'The forecast.'), ...problems(404, 409, 422) },
})
const course = createRoute({
  method: 'get',
  path: '/batches/{id}/course',
  tags,
  summary: 'How the hatch went and will go, in columns for drawing',
  description: 'From the start of the batch to past its harvest unless asked otherwise.',
  request: { params: ById, query: CourseQuery },
  responses: { 200: json(Course, 'Columns with their bands; times are Unix ms.'), ...problems(404, 422) },
})
const readings = createRoute({
  method: 'get',
  path: '/batches/{id}/readings',
  tags,
  summary: 'Curves of a batch, from its start to its end unless asked otherwise',
  request: { params: ById, query: ReadingsQuery },
  responses: { 200: json(Readings, 'Columns by role; times are Unix ms.'), ...problems(404, 422) },
})

async function countsOf(room: WebOptions['room'], batches: readonly BatchRow[]) {
  const counts = await Promise.all(
    batches.map(async ({ id }) => [id, countedOf(await room.batchEvents(id))] as const),
  )
  return Object.fromEntries(counts.flatMap(([id, count]) => (count ? [[id, count] as const] : [])))
}

export function batchRoutes(options: WebOptions): OpenAPIHono<WebEnv> {
  const { room, store } = options
  const roomOf = async (id: string) => (await placeOf(options, id)).room
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => {
      const { vesselId, lot, open, limit, counted: withCounts } = c.req.valid('query')
      const isOpen = open === undefined ? undefined : open === 'true'
      const query = { ...given({ vesselId, lot, open: isOpen }), limit }
      const batches = await room.batches(query)
      const theirs = new Set(batches.map(({ vesselId }) => vesselId))
      const rows = theirs.size === 0 ? [] : (await store.vessels()).filter(row => theirs.has(row.id))
      const vesselNames = Object.fromEntries(rows.map(row => [row.id, row.name]))
      const counted = withCounts === 'true' ? { counted: await countsOf(room, batches) } : {}
      return c.json({ batches: batches.map(present.batch), vesselNames, ...counted }, 200)
    })
    .openapi(start, async c => {
      const { startedAt, ...batch } = c.req.valid('json')
      const startedAtMs = startedAt === undefined ? undefined : momentMs('startedAt', startedAt)
      const started = await room.startBatch(given({ ...batch, startedAtMs }))
      return c.json(present.batch(started), 201)
    })
    .openapi(one, async c => {
      const { id } = c.req.valid('param')
      const of = await roomOf(id)
      const row = await of.batch(id)
      const vessel = (await of.everyVessel()).find(each => each.id === row.vesselId)
      return c.json({ ...present.batch(row), ...(vessel ? { vesselName: vessel.name } : {}) }, 200)
    })
    .openapi(alter, async c => {
      const { startedAt, endedAt, ...rest } = c.req.valid('json')
      const startedAtMs = startedAt === undefined ? undefined : momentMs('startedAt', startedAt)
      const endedAtMs = endedAt === undefined ? undefined : momentMs('endedAt', endedAt)
      const change = { ...given({ ...rest, startedAtMs, endedAtMs }), by: saidBy(c, undefined) }
      const changed = await room.changeBatch(c.req.valid('param').id, change)
      return c.json(present.batch(changed), 200)
    })
    .openapi(discard, async c => {
      await room.discardBatch(c.req.valid('param').id)
      return c.body(null, 204)
    })
    .openapi(end, async c => {
      const { endedAt, note } = c.req.valid('json')
      const endedAtMs = endedAt === undefined ? undefined : momentMs('endedAt', endedAt)
      const ended = await room.endBatch(c.req.valid('param').id, given({ endedAtMs, note }))
      return c.json(present.batch(ended), 200)
    })
    .openapi(forecast, async c => {
      const { id } = c.req.valid('param')
      return c.json(present.forecast(await (await roomOf(id)).forecast(id)), 200)
    })
    .openapi(course, async c => {
      const { from, to, points } = c.req.valid('query')
      const span = given({
        fromMs: from === undefined ? undefined : momentMs('from', from),
        toMs: to === undefined ? undefined : momentMs('to', to),
      })
      const { id } = c.req.valid('param')
      return c.json(present.course(await (await roomOf(id)).course(id, { ...span, points })), 200)
    })
    .openapi(readings, async c => {
      const { id } = c.req.valid('param')
      const room = await roomOf(id)
      const batch = await room.batch(id)
      const { points, ...asked } = c.req.valid('query')
      const { fromMs, toMs } = spanOf(asked, batch.startedAtMs, batch.endedAtMs ?? room.snapshot().nowMs)
      const channels = await room.readings(batch.vesselId, { fromMs, toMs, points })
      return c.json(presentReadings(fromMs, toMs, channels), 200)
    })
}
