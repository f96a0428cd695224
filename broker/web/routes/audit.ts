import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { AuditList, AuditQuery } from '../api/session.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { iso } from '../times.ts'
import { json, problems } from './describe.ts'

const list = createRoute({
  method: 'get',
  path: '/audit',
  tags: ['people'],
  summary: 'Who did what that matters for safety, when and from where, the newest first',
  request: { query: AuditQuery },
  responses: { 200: json(AuditList, 'The lines. They cannot be changed.'), ...problems(422) },
})

export function auditRoutes({ store }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>().openapi(list, async c => {
    const { limit, before } = c.req.valid('query')
    const lines = (await store.audit(limit, before)).map(({ atMs, ...line }) => ({ ...line, at: iso(atMs) }))
    return c.json({ lines }, 200)
  })
}
