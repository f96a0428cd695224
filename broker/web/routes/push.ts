import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { ByPhone, Called, NewPhone, Phone, Phones } from '../api/push.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { iso } from '../times.ts'
import { body, json, problems } from './describe.ts'

const tags = ['push']
const look = createRoute({
  method: 'get',
  path: '/push',
  tags,
  summary: 'The phones that are called, and the key to subscribe with',
  responses: { 200: json(Phones, 'The phones.'), ...problems() },
})
const add = createRoute({
  method: 'post',
  path: '/push/phones',
  tags,
  summary: 'Let a browser be called; one that is known already is changed',
  request: { body: body(NewPhone) },
  responses: { 201: json(Phone, 'The phone.'), ...problems(409, 413, 415, 422) },
})
const drop = createRoute({
  method: 'delete',
  path: '/push/phones/{id}',
  tags,
  summary: 'Call this phone no more',
  request: { params: ByPhone },
  responses: { 204: { description: 'It is called no more.' }, ...problems(404, 422) },
})
const test = createRoute({
  method: 'post',
  path: '/push/phones/{id}/test',
  tags,
  summary: 'Call this phone now, to try it out',
  request: { params: ByPhone },
  responses: { 200: json(Called, 'Whether it was taken over, in words.'), ...problems(404, 422) },
})

export function pushRoutes({ phones }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(look, async c => {
      const { publicKey, people, phones: known, lost } = await phones.look()
      const gone = lost.map(({ name, person, atMs }) => ({ name, person, at: iso(atMs) }))
      return c.json({ publicKey, people: [...people], phones: [...known], lost: gone }, 200)
    })
    .openapi(add, async c => {
      const { name, person, subscription } = c.req.valid('json')
      const { endpoint, keys, expirationTime = null } = subscription
      return c.json(
        await phones.add({ name, person, subscription: { endpoint, keys, expiresAtMs: expirationTime } }),
        201,
      )
    })
    .openapi(drop, async c => {
      await phones.drop(c.req.valid('param').id)
      return c.body(null, 204)
    })
    .openapi(test, async c => c.json(await phones.test(c.req.valid('param').id), 200))
}
