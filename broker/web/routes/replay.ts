import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { expectedThen } from '../../room/expected-then.ts'
import { Replay, ReplayQuery } from '../api/replay.ts'
import { ById } from '../api/requests.ts'
import type { Columns, Role } from '../../store/contract.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { replay as present } from '../present-replay.ts'
import { guest as presentGuest } from '../present-handover.ts'
import { json, problems } from './describe.ts'
import { placeOf } from './place-of.ts'

const replay = createRoute({
  method: 'get',
  path: '/batches/{id}/replay',
  tags: ['batches'],
  summary: 'All of a batch at once, to look at it again moment by moment',
  description:
    'Readings in columns, the hatch, alarms with their steps, what persons did, and what was asked of them. Up to now for an ' +
    'open batch.',
  request: { params: ById, query: ReplayQuery },
  responses: { 200: json(Replay, 'The batch.'), ...problems(404, 409, 422) },
})

const NO_COLUMNS: Partial<Record<Role, Columns>> = {}
/** A course has so many moments. */
const COURSE_POINTS = 200
/** A batch that calls more often than this is looked at with its newest alarms. */
const MOST_ALARMS = 1000
/** As many deliveries as are remembered. */
const MOST_TOLD = 2000

export function replayRoutes(options: WebOptions): OpenAPIHono<WebEnv> {
  const { store, calling } = options
  return new OpenAPIHono<WebEnv>().openapi(replay, async c => {
    const { id } = c.req.valid('param')
    const { room, guest } = await placeOf(options, id)
    const batch = await room.batch(id)
    const { points } = c.req.valid('query')
    const fromMs = batch.startedAtMs
    const toMs = Math.max(fromMs + 1, batch.endedAtMs ?? room.snapshot().nowMs)
    const vessel =
      room.snapshot().vessels.find(({ row }) => row.id === batch.vesselId)?.row ??
      // It was put away since.
      (await store.vessels()).find(row => row.id === batch.vesselId) ??
      null
    const [columns, journal, events] = await Promise.all([
      vessel === null ? NO_COLUMNS : room.readings(batch.vesselId, { fromMs, toMs, points }),
      room.journal({ fromMs, toMs: toMs + 1, skip: 0, limit: MOST_ALARMS }),
      room.batchEvents(batch.id),
    ])
    const { course, forecast } = await room.lookBack(batch.id, {
      fromMs,
      points: COURSE_POINTS,
      ...(columns.water ? { water: { ...columns.water, points } } : {}),
    })
    const told = journal.entries.length === 0 || guest ? [] : await calling.recent(MOST_TOLD)
    const { entries } = journal
    const expected = expectedThen(columns.water, { litres: batch.litres, fromMs, toMs })
    return c.json(
      {
        ...present({
          batch,
          vessel,
          fromMs,
          toMs,
          columns,
          course,
          forecast,
          expected,
          entries,
          told,
          events,
        }),
        ...(guest ? { broughtIn: presentGuest(guest) } : {}),
      },
      200,
    )
  })
}
