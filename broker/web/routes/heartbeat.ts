import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { ChangeHeartbeat, Heartbeat } from '../api/heartbeat.ts'
import { TestResult } from '../api/notify.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { isoOrNull } from '../times.ts'
import type { HeartbeatNow } from '../watcher.ts'
import { body, json, problems } from './describe.ts'

const tags = ['notify']
const look = createRoute({
  method: 'get',
  path: '/notify/heartbeat',
  tags,
  summary: 'Whom the service tells that it is well, and how that stands',
  responses: { 200: json(Heartbeat, 'The heartbeat.'), ...problems() },
})
const replace = createRoute({
  method: 'put',
  path: '/notify/heartbeat',
  tags,
  summary: 'Replace whom the service tells that it is well; they are called at once',
  request: { body: body(ChangeHeartbeat) },
  responses: { 200: json(Heartbeat, 'The heartbeat.'), ...problems(413, 415, 422) },
})
const tryNow = createRoute({
  method: 'post',
  path: '/notify/heartbeat/try',
  tags,
  summary: 'Beat now',
  responses: { 200: json(TestResult, 'Whether the watcher took it, in words.'), ...problems() },
})

export function heartbeatRoutes({ watcher }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(look, c => c.json(present(watcher.now()), 200))
    .openapi(replace, async c => c.json(present(await watcher.change(c.req.valid('json').settings)), 200))
    .openapi(tryNow, async c => c.json(await watcher.tryNow(), 200))
}

function present({ lastBeatAtMs, ailments, ...rest }: HeartbeatNow): Heartbeat {
  return { ...rest, ailments: [...ailments], lastBeatAt: isoOrNull(lastBeatAtMs) }
}
