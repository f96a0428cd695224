import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import {
  ChangeNotify,
  NotifySettings,
  OutboxList,
  OutboxQuery,
  TestNotify,
  TestResult,
} from '../api/notify.ts'
import type { CalledOf, WithoutUndefined } from '../calling.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { iso, isoOrNull } from '../times.ts'
import { body, json, problems } from './describe.ts'

const tags = ['notify']
const read = createRoute({
  method: 'get',
  path: '/notify',
  tags,
  summary: 'Who is called, and by what',
  responses: { 200: json(NotifySettings, 'Everything but the secrets.'), ...problems() },
})
const replace = createRoute({
  method: 'put',
  path: '/notify',
  tags,
  summary: 'Replace who is called, and by what',
  request: { body: body(ChangeNotify) },
  responses: { 200: json(NotifySettings, 'Everything but the secrets.'), ...problems(409, 413, 415, 422) },
})
const outbox = createRoute({
  method: 'get',
  path: '/notify/outbox',
  tags,
  summary: 'What people were told of late, and what waits, the latest first',
  request: { query: OutboxQuery },
  responses: { 200: json(OutboxList, 'The deliveries.'), ...problems(422) },
})
const test = createRoute({
  method: 'post',
  path: '/notify/test',
  tags,
  summary: 'Send a test message to one address at once',
  request: { body: body(TestNotify) },
  responses: {
    200: json(TestResult, 'Whether it was taken over, in words.'),
    ...problems(404, 409, 413, 415, 422),
  },
})

export function notifyRoutes({ calling }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(read, c => c.json(calling.settings() as NotifySettings, 200))
    .openapi(replace, async c => {
      const sent = stripped(c.req.valid('json'))
      return c.json((await calling.change(sent)) as NotifySettings, 200)
    })
    .openapi(outbox, async c => {
      const { limit } = c.req.valid('query')
      return c.json({ deliveries: (await calling.recent(limit)).map(present) }, 200)
    })
    .openapi(test, async c => {
      const { personId, addressId } = c.req.valid('json')
      return c.json(await calling.test(personId, addressId), 200)
    })
}

function present({ atMs, nextAtMs, doneAtMs, ...rest }: CalledOf): OutboxList['deliveries'][number] {
  return {
    ...rest,
    at: iso(atMs),
    nextAt: doneAtMs === null ? iso(nextAtMs) : null,
    doneAt: isoOrNull(doneAtMs),
  }
}

/** JSON has no undefined: what is sent back and forth through it has none either. */
const stripped = <T>(value: T): WithoutUndefined<T> =>
  JSON.parse(JSON.stringify(value)) as WithoutUndefined<T>
