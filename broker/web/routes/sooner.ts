import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import type { Cause, CauseKind } from '../../diagnosis/contract.ts'
import { MOST_OTHERS, type SoonerAsk } from '../../replay/sooner/contract.ts'
import type { JournalEntry } from '../../room/alarm-journal.ts'
import { watchedBy } from '../../room/diagnosing/watched-by.ts'
import type { BatchRow } from '../../store/contract.ts'
import { ById } from '../api/requests.ts'
import { Caught, CaughtQuery } from '../api/sooner.ts'
import { batchReadings } from '../batch-readings.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { caught as present, type CaughtParts } from '../present-sooner.ts'
import { HttpProblem } from '../problem.ts'
import { json, problems } from './describe.ts'
import { placeOf } from './place-of.ts'

const tags = ['batches']
const path = '/batches/{id}/caught'
const request = { params: ById, query: CaughtQuery }
const look = createRoute({
  method: 'get',
  path,
  tags,
  summary: 'What called when a batch was spoilt, and how far the search for a sooner call is',
  request,
  responses: { 200: json(Caught, 'What called.'), ...problems(404, 409, 422) },
})
const search = createRoute({
  method: 'post',
  path,
  tags,
  summary: 'Look for the setting that would have called sooner, and not falsely on other batches',
  description:
    'The room lives through the batch again with one setting after the other turned, and through the newest other batches with ' +
    'those that gain something. It takes two minutes at the most; ask again by GET until it is done. What was found is kept.',
  request,
  responses: { 202: json(Caught, 'It has begun, or was done before.'), ...problems(404, 409, 422) },
})
const cancel = createRoute({
  method: 'delete',
  path,
  tags,
  summary: 'End a search that nobody needs any more',
  request,
  responses: { 200: json(Caught, 'As it ended.'), ...problems(404, 409, 422) },
})

/** A batch that calls more often than this is looked at with its newest alarms. */
const MOST_ALARMS = 1000
/** Of an open batch the search is as of so round a moment, ms: asked again a little later it is the same. */
const ROUND_MS = 15 * 60_000

export function soonerRoutes(options: WebOptions): OpenAPIHono<WebEnv> {
  const { room: own, sooner, clock } = options
  /** All but the search, and what it is to be asked; `null` where nothing can be searched. */
  const about = async (
    id: string,
    kind: CauseKind | undefined,
  ): Promise<{ parts: Omit<CaughtParts, 'search'>; ask: SoonerAsk | null }> => {
    const { room } = await placeOf(options, id)
    const batch = await room.batch(id)
    const { causes, risky } = await room.diagnosis(id)
    const cause = [...causes, ...risky].find(one => kind === undefined || one.kind === kind)
    if (!cause) return { parts: { cause: null, damageAtMs: null, called: null, unwatched: null }, ask: null }
    const { rules, role, instead } = watchedBy(cause.kind)
    const nowMs = batch.endedAtMs ?? Math.floor(clock() / ROUND_MS) * ROUND_MS
    const span = { fromMs: batch.startedAtMs, toMs: Math.max(nowMs, batch.startedAtMs) + 1 }
    const measured = role === null ? {} : await batchReadings(room, batch, { ...span, points: 2 })
    const unwatched = rules.length === 0 || (role !== null && !measured[role]?.t.length) ? instead : null
    const damageAtMs = beganMs(cause) ?? batch.startedAtMs
    const { entries } = await room.journal({ ...span, skip: 0, limit: MOST_ALARMS })
    const concerned = entries.filter(
      ({ alarm }) =>
        (alarm.vesselId === batch.vesselId || alarm.vesselId === null) && rules.includes(alarm.rule),
    )
    const parts = { cause: cause.kind, damageAtMs, called: firstOf(concerned), unwatched }
    if (unwatched !== null) return { parts, ask: null }
    // One from elsewhere, too, is held against what is set here and against the batches that are here.
    const { settings } = own.snapshot()
    const others = await othersThan(batch)
    return { parts, ask: { batchId: id, settings, rules, damageAtMs, others, nowMs } }
  }

  const othersThan = async (batch: BatchRow): Promise<string[]> =>
    (await own.batches({ open: false, limit: MOST_OTHERS + 1 }))
      .map(({ id }) => id)
      .filter(id => id !== batch.id)
      .slice(0, MOST_OTHERS)

  return new OpenAPIHono<WebEnv>()
    .openapi(look, async c => {
      const { parts, ask } = await about(c.req.valid('param').id, c.req.valid('query').cause)
      return c.json(present({ ...parts, search: (ask && sooner.find(ask)) ?? null }), 200)
    })
    .openapi(search, async c => {
      const { parts, ask } = await about(c.req.valid('param').id, c.req.valid('query').cause)
      const begun = ask && sooner.start(ask)
      if (ask && !begun)
        throw new HttpProblem(
          503,
          'Cannot search for a sooner call: several searches wait already; ask again in a minute',
          {
            headers: { 'Retry-After': '60' },
          },
        )
      return c.json(present({ ...parts, search: begun }), 202)
    })
    .openapi(cancel, async c => {
      const { parts, ask } = await about(c.req.valid('param').id, c.req.valid('query').cause)
      return c.json(present({ ...parts, search: (ask && sooner.cancel(ask)) ?? null }), 200)
    })
}

/** When the trouble of a cause began; `null` for what held all the time. */
function beganMs({ evidence }: Cause): number | null {
  const starts = evidence.flatMap(({ spans }) => spans.map(({ fromMs }) => fromMs))
  return starts.length === 0 ? null : Math.min(...starts)
}

function firstOf(entries: readonly JournalEntry[]): CaughtParts['called'] {
  const calls = entries.flatMap(({ alarm, steps }) => {
    const called = steps.find(({ calls }) => calls)
    if (!called) return []
    const seen = steps.find(({ reason, calls }) => !calls && reason === 'acknowledged')
    return [
      {
        rule: alarm.rule,
        alarmId: alarm.id,
        calledAtMs: called.atMs,
        acknowledgedAtMs: seen?.atMs ?? alarm.acknowledgedAtMs,
        acknowledgedBy: seen?.by ?? alarm.acknowledgedBy,
        overAtMs: alarm.clearedAtMs,
        calls: steps.filter(({ calls }) => calls).length,
      },
    ]
  })
  return calls.sort((a, b) => a.calledAtMs - b.calledAtMs)[0] ?? null
}
