import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { LotList } from '../api/events.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { lot } from '../present-batch.ts'
import { json, problems } from './describe.ts'

const list = createRoute({
  method: 'get',
  path: '/lots',
  tags: ['lots'],
  summary: 'What is known of the lots of cysts, the one used last first',
  description: 'Learned from what was seen and counted of their batches. At most 100.',
  responses: { 200: json(LotList, 'The lots.'), ...problems() },
})

export function lotRoutes({ room }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>().openapi(list, async c =>
    c.json({ lots: (await room.lots()).map(lot) }, 200),
  )
}
