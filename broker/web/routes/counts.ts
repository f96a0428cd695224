import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { CountError } from '../../hatch/counts/errors.ts'
import type { CountEstimate as Estimated, CountInput } from '../../hatch/counts/estimate.ts'
import { estimateCount } from '../../hatch/counts/estimate.ts'
import { CountEstimate, CountRequest } from '../api/counts.ts'
import type { WebEnv } from '../context.ts'
import { HttpProblem } from '../problem.ts'
import { body, json, problems } from './describe.ts'

const estimate = createRoute({
  method: 'post',
  path: '/counts/estimate',
  tags: ['batches'],
  summary: 'How many nauplii there are, from counted samples, and how sure that is',
  description:
    'Nothing is kept. Limits are exact for samples of a mixed vessel, and wider where they differ more.',
  request: { body: body(CountRequest) },
  responses: { 200: json(CountEstimate, 'The estimate.'), ...problems(413, 415, 422) },
})

/** Needs nothing of the room. */
export function countRoutes(): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>().openapi(estimate, c => {
    const { dispersion, ...told } = estimated(c.req.valid('json'))
    const { index, p, verdict } = dispersion
    return c.json({ ...told, dispersion: { index, p, verdict } }, 200)
  })
}

/** What no single field's schema can see, such as more water in the samples than in the vessel, is the sender's to mend too. */
function estimated(input: CountInput): Estimated {
  try {
    return estimateCount(input)
  } catch (error) {
    if (!(error instanceof CountError)) throw error
    const { field, message } = error
    throw new HttpProblem(422, message, { errors: [{ field, message }] })
  }
}
