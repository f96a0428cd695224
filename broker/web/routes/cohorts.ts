import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import type { Feeding } from '../../room/feeding/contract.ts'
import { Cohort, CohortFields, CohortList } from '../api/plan.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv } from '../context.ts'
import * as present from '../present-plan.ts'
import { body, json, problems } from './describe.ts'

const tags = ['cohorts']
const list = createRoute({
  method: 'get',
  path: '/cohorts',
  tags,
  summary: 'The groups of fry that are fed',
  responses: { 200: json(CohortList, 'The groups, in the order in which they were added.'), ...problems() },
})
const add = createRoute({
  method: 'post',
  path: '/cohorts',
  tags,
  summary: 'Add a group of fry',
  request: { body: body(CohortFields) },
  responses: { 201: json(Cohort, 'The group.'), ...problems(409, 413, 415, 422) },
})
const alter = createRoute({
  method: 'put',
  path: '/cohorts/{id}',
  tags,
  summary: 'Change a group of fry',
  request: { params: ById, body: body(CohortFields) },
  responses: { 200: json(Cohort, 'The group.'), ...problems(404, 413, 415, 422) },
})
const drop = createRoute({
  method: 'delete',
  path: '/cohorts/{id}',
  tags,
  summary: 'Plan no more for a group of fry',
  request: { params: ById },
  responses: { 204: { description: 'It is put away.' }, ...problems(404, 422) },
})

export function cohortRoutes(feeding: Feeding): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => c.json({ cohorts: (await feeding.cohorts()).map(present.cohort) }, 200))
    .openapi(add, async c => {
      const kept = await feeding.keepCohort(null, present.cohortFields(c.req.valid('json')))
      return c.json(present.cohort(kept), 201)
    })
    .openapi(alter, async c => {
      const fields = present.cohortFields(c.req.valid('json'))
      return c.json(present.cohort(await feeding.keepCohort(c.req.valid('param').id, fields)), 200)
    })
    .openapi(drop, async c => {
      await feeding.dropCohort(c.req.valid('param').id)
      return c.body(null, 204)
    })
}
