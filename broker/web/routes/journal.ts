import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { Journal, JournalRequest } from '../api/journal.ts'
import { ById } from '../api/requests.ts'
import { NewTryOut, TryOut } from '../api/try-outs.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import * as presentJournal from '../present-journal.ts'
import { HttpProblem } from '../problem.ts'
import { body, given, json, momentMs, problems } from './describe.ts'

const tags = ['alarms']
const journal = createRoute({
  method: 'get',
  path: '/alarms/journal',
  tags,
  summary: 'The alarms of a span, and how much they asked of people',
  description: 'Each figure stands beside the mark that is published for it.',
  request: { query: JournalRequest },
  responses: { 200: json(Journal, 'The journal.'), ...problems(422) },
})
const start = createRoute({
  method: 'post',
  path: '/alarms/try-outs',
  tags,
  summary: 'Try other settings of the rules out on recorded batches',
  description:
    'The room lives through the batches again, with the settings as they are and with those that are sent. Nothing is changed ' +
    'and nobody is called. Ask for the try-out by its id until it is done: one that nobody has asked for in 30 s gives way to the next.',
  request: { body: body(NewTryOut) },
  responses: { 202: json(TryOut, 'It has begun, or waits its turn.'), ...problems(413, 415, 422) },
})
const look = createRoute({
  method: 'get',
  path: '/alarms/try-outs/{id}',
  tags,
  summary: 'How far a try-out is, and what it has found',
  request: { params: ById },
  responses: { 200: json(TryOut, 'The try-out.'), ...problems(404, 422) },
})
const cancel = createRoute({
  method: 'delete',
  path: '/alarms/try-outs/{id}',
  tags,
  summary: 'End a try-out that nobody needs any more',
  request: { params: ById },
  responses: { 200: json(TryOut, 'The try-out as it ended.'), ...problems(404, 422) },
})

const DAY_MS = 86_400_000
const USUAL_MS = 7 * DAY_MS
const LONGEST_MS = 400 * DAY_MS
/** As many deliveries as are remembered. */
const MOST_TOLD = 2000

export function journalRoutes({ room, calling, tryOuts, clock }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(journal, async c => {
      const { from, to, ...query } = c.req.valid('query')
      const { fromMs, toMs } = spanOf(from, to, clock())
      const view = await room.journal({ fromMs, toMs, ...given(query) })
      const told = view.entries.length === 0 ? [] : await calling.recent(MOST_TOLD)
      return c.json(presentJournal.journal(fromMs, toMs, view, told), 200)
    })
    .openapi(start, async c => {
      const { rules, batchIds, newest } = c.req.valid('json')
      const { settings } = room.snapshot()
      const now = present.settings(settings)
      const proposed = present.settingsIn({ ...now, rules: { ...now.rules, ...given(rules) } }).rules
      const begun = tryOuts.start({ settings, proposed, newest, nowMs: clock(), ...given({ batchIds }) })
      if (begun) return c.json(presentJournal.tryOut(begun, await room.everyVessel()), 202)
      throw new HttpProblem(503, 'Cannot try it out: several try-outs wait already; ask again in a minute', {
        headers: { 'Retry-After': '60' },
      })
    })
    .openapi(look, async c => {
      const view = found(tryOuts.find(c.req.valid('param').id))
      return c.json(presentJournal.tryOut(view, await room.everyVessel()), 200)
    })
    .openapi(cancel, async c => {
      const view = found(tryOuts.cancel(c.req.valid('param').id))
      return c.json(presentJournal.tryOut(view, await room.everyVessel()), 200)
    })
}

function found<T>(view: T | undefined): T {
  if (view !== undefined) return view
  throw new HttpProblem(
    404,
    'Cannot find the try-out: there is none of this id, or it was forgotten; start it again',
  )
}

function spanOf(from: string | undefined, to: string | undefined, nowMs: number) {
  // The end is exclusive, and what happens in this very moment belongs to it.
  const toMs = to === undefined ? nowMs + 1 : momentMs('to', to)
  const fromMs = from === undefined ? toMs - USUAL_MS : momentMs('from', from)
  if (fromMs < toMs && toMs - fromMs <= LONGEST_MS) return { fromMs, toMs }
  const message = 'Cannot read the journal: from must be earlier than to, by 400 days at most'
  throw new HttpProblem(422, message, { errors: [{ field: 'from', message }] })
}
