import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { bucketsOf, LINE_POINTS } from '../../room/hatch-line.ts'
import type { BatchRow } from '../../store/contract.ts'
import { Compared, CompareQuery, type ComparedBatch, MOST_COMPARED } from '../api/compare.ts'
import { batchReadings } from '../batch-readings.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { compared } from '../present-compare.ts'
import { HttpProblem } from '../problem.ts'
import type { LookedAt } from '../../room/handover/desk.ts'
import { given, json, problems } from './describe.ts'
import { placeOf } from './place-of.ts'

const compare = createRoute({
  method: 'get',
  path: '/batches/compared',
  tags: ['batches'],
  summary: 'Several batches side by side: their curves, thinned, and their figures',
  request: { query: CompareQuery },
  responses: { 200: json(Compared, 'The batches.'), ...problems(404, 422) },
})

interface Placed {
  readonly room: LookedAt
  readonly batch: BatchRow
  readonly vesselName: string | null
}
const namesIn = async (room: Pick<LookedAt, 'everyVessel'>) =>
  new Map((await room.everyVessel()).map(({ id, name }) => [id, name]))

export function compareRoutes(options: WebOptions): OpenAPIHono<WebEnv> {
  const { room: own, clock } = options
  const one = async ({ room, batch, vesselName }: Placed, points: number): Promise<ComparedBatch> => {
    const fromMs = batch.startedAtMs
    const toMs = Math.max(fromMs + 1, batch.endedAtMs ?? clock())
    const dense = bucketsOf(toMs - fromMs)
    const [columns, events] = await Promise.all([
      batchReadings(room, batch, { fromMs, toMs, points: dense }),
      room.batchEvents(batch.id),
    ])
    const { water } = columns
    const hatch = water?.t.length
      ? await room.hatchLine(batch.id, { water: { ...water, points: dense }, toMs, points: LINE_POINTS })
      : null
    return compared({ batch, vesselName, columns, hatch, events, points })
  }

  /** One from elsewhere, too, stands in its own room. */
  const placed = async (id: string): Promise<Placed> => {
    const { room } = await placeOf(options, id)
    const batch = await room.batch(id)
    return { room, batch, vesselName: (await namesIn(room)).get(batch.vesselId) ?? null }
  }
  const newestOf = async (query: {
    lot?: string | undefined
    vesselId?: string | undefined
    newest: number
  }) => {
    const { newest, ...rest } = query
    const [rows, names] = await Promise.all([own.batches({ ...given(rest), limit: newest }), namesIn(own)])
    return rows.map(batch => ({ room: own, batch, vesselName: names.get(batch.vesselId) ?? null }))
  }

  return new OpenAPIHono<WebEnv>().openapi(compare, async c => {
    const { of, lot, vesselId, newest, points } = c.req.valid('query')
    const ids = of === undefined ? null : [...new Set(of.split(',').filter(id => id !== ''))]
    if (ids && ids.length > MOST_COMPARED) {
      const message = `Cannot compare them: ${MOST_COMPARED} batches at most, got ${ids.length}`
      throw new HttpProblem(422, message, { errors: [{ field: 'of', message }] })
    }
    const rows = ids ? await Promise.all(ids.map(placed)) : await newestOf({ lot, vesselId, newest })
    const oldestFirst = [...rows].sort((a, b) => a.batch.startedAtMs - b.batch.startedAtMs)
    // All at once: the readings come from another thread, one batch's while another's hatch is reckoned here.
    const batches = await Promise.all(oldestFirst.map(each => one(each, points)))
    return c.json({ batches }, 200)
  })
}
