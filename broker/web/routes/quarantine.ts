import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { QuarantineList } from '../api/lists.ts'
import { QuarantineQuery } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present.ts'
import { json, problems } from './describe.ts'

const list = createRoute({
  method: 'get',
  path: '/quarantine',
  tags: ['devices'],
  summary: 'Messages that could not be read, the latest first, with the reason and what was sent',
  request: { query: QuarantineQuery },
  responses: { 200: json(QuarantineList, 'The messages.'), ...problems(422) },
})

export function quarantineRoutes({ store }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>().openapi(list, async c => {
    const { limit, before } = c.req.valid('query')
    return c.json({ quarantine: (await store.quarantine(limit, before)).map(present.quarantineItem) }, 200)
  })
}
