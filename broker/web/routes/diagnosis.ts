import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { Diagnosis } from '../api/diagnosis.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { diagnosis as present } from '../present-diagnosis.ts'
import { json, problems } from './describe.ts'
import { placeOf } from './place-of.ts'

const diagnosis = createRoute({
  method: 'get',
  path: '/batches/{id}/diagnosis',
  tags: ['batches'],
  summary: 'What went wrong with a batch, what it cost, and what to change',
  description:
    'As of now for an open batch, as of its end for an ended one. The causes are ranked; each carries its evidence, how sure it is, its share of the loss (by Shapley values over all causes), and what to change.',
  request: { params: ById },
  responses: { 200: json(Diagnosis, 'The diagnosis.'), ...problems(404, 409, 422) },
})

export function diagnosisRoutes(options: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>().openapi(diagnosis, async c => {
    const { id } = c.req.valid('param')
    const { room } = await placeOf(options, id)
    return c.json(present(await room.diagnosis(id)), 200)
  })
}
