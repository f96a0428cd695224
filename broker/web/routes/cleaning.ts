import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { ByWhom, CleaningEntry, CleaningList, CleaningPolicy, NewCleaning } from '../api/books.ts'
import { ById } from '../api/requests.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import * as present from '../present-books.ts'
import { body, given, json, optionalBody, problems } from './describe.ts'
import { saidAt, saidBy } from './who.ts'

const tags = ['cleaning']
const list = createRoute({
  method: 'get',
  path: '/cleaning',
  tags,
  summary: 'What was cleaned, and what is due',
  responses: { 200: json(CleaningList, 'Vessel by vessel.'), ...problems() },
})
const clean = createRoute({
  method: 'post',
  path: '/vessels/{id}/cleanings',
  tags,
  summary: 'Write down that a vessel was cleaned',
  description: 'Refused for a time at which a batch was in it: a cleaning ends none.',
  request: { params: ById, body: body(NewCleaning) },
  responses: { 201: json(CleaningEntry, 'The entry.'), ...problems(404, 409, 413, 415, 422) },
})
const withdraw = createRoute({
  method: 'post',
  path: '/cleanings/{id}/withdraw',
  tags,
  summary: 'Take a cleaning back: it stays in the log and counts no more',
  request: { params: ById, body: optionalBody(ByWhom) },
  responses: { 200: json(CleaningEntry, 'The entry.'), ...problems(404, 413, 415, 422) },
})
const policy = createRoute({
  method: 'put',
  path: '/cleaning/policy',
  tags,
  summary: 'Set after how many batches or days to disinfect',
  request: { body: body(CleaningPolicy) },
  responses: { 200: json(CleaningPolicy, 'The policy.'), ...problems(413, 415, 422) },
})

export function cleaningRoutes({ books }: WebOptions): OpenAPIHono<WebEnv> {
  const { cleaning } = books
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => {
      const vessels = (await cleaning.list()).map(present.cleaningOf)
      return c.json({ policy: await cleaning.policy(), vessels }, 200)
    })
    .openapi(clean, async c => {
      const { at, by, ...said } = c.req.valid('json')
      const input = { ...given(said), ...saidAt(at), by: saidBy(c, by) }
      return c.json(present.cleaning(await cleaning.clean(c.req.valid('param').id, input)), 201)
    })
    .openapi(withdraw, async c =>
      c.json(present.cleaning(await cleaning.withdraw(c.req.valid('param').id)), 200),
    )
    .openapi(policy, async c => c.json(await cleaning.changePolicy(c.req.valid('json')), 200))
}
