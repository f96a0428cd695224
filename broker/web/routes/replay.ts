import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { LOOK_BACK_POINTS } from '../../room/looks-back.ts'
import { Replay, ReplayQuery } from '../api/replay.ts'
import { ROLES } from '../../room/roles.ts'
import { Role } from '../../store/contract.ts'
import { ById } from '../api/requests.ts'
import { batchReadings } from '../batch-readings.ts'
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

/** A batch that calls more often than this is looked at with its newest alarms. */
const MOST_ALARMS = 1000
/** As many deliveries as are remembered. */
const MOST_TOLD = 2000
const NOT_WATER = ROLES.filter(role => role !== Role.water)

export function replayRoutes(options: WebOptions): OpenAPIHono<WebEnv> {
  const { calling } = options
  return new OpenAPIHono<WebEnv>().openapi(replay, async c => {
    const { id } = c.req.valid('param')
    const { room, guest } = await placeOf(options, id)
    const batch = await room.batch(id)
    const { points } = c.req.valid('query')
    const fromMs = batch.startedAtMs
    const toMs = Math.max(fromMs + 1, batch.endedAtMs ?? room.snapshot().nowMs)
    // The water comes first: while the rest is read on the store's thread, what is reckoned from it is reckoned here.
    const water = batchReadings(room, batch, { fromMs, toMs, points, roles: [Role.water] })
    const others = batchReadings(room, batch, { fromMs, toMs, points, roles: NOT_WATER })
    const reckoned = water.then(({ water }) =>
      room.lookBack(batch.id, {
        toMs,
        points: LOOK_BACK_POINTS,
        ...(water ? { water: { ...water, points } } : {}),
      }),
    )
    const [
      vessels,
      columns,
      rest,
      { course, forecast, expectedWater },
      settings,
      journal,
      events,
      knownSinceMs,
    ] = await Promise.all([
      // One that was taken out of the room since, too.
      room.everyVessel(),
      water,
      others,
      reckoned,
      room.settingsThen({ fromMs, toMs }),
      room.journal({ fromMs, toMs: toMs + 1, skip: 0, limit: MOST_ALARMS }),
      room.batchEvents(batch.id),
      room.batchKnownSince?.(batch.id) ?? batch.startedAtMs,
    ])
    const vessel = vessels.find(({ id }) => id === batch.vesselId) ?? null
    const told = journal.entries.length === 0 || guest ? [] : await calling.recent(MOST_TOLD)
    const { entries } = journal
    return c.json(
      {
        ...present({
          batch,
          vessel,
          fromMs,
          toMs,
          columns: { ...columns, ...rest },
          settings,
          course,
          forecast,
          expected: expectedWater,
          entries,
          told,
          events,
          knownSinceMs,
        }),
        ...(guest ? { broughtIn: presentGuest(guest) } : {}),
      },
      200,
    )
  })
}
