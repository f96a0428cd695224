import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { hashSecret, newSecret as randomSecret } from '../../secrets.ts'
import { NewToken, TokenByName, TokenList, TokenSecret } from '../api/session.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { HttpProblem } from '../problem.ts'
import { iso } from '../times.ts'
import { body, json, problems } from './describe.ts'

/** Tokens beyond these are refused: each is a way in, and every request with one is compared with all. */
const MOST_TOKENS = 100

const tags = ['people']
const list = createRoute({
  method: 'get',
  path: '/tokens',
  tags,
  summary: 'What programs use the API with, and what they may do',
  responses: { 200: json(TokenList, 'The tokens, without their secrets.'), ...problems() },
})
const add = createRoute({
  method: 'post',
  path: '/tokens',
  tags,
  summary: 'A bearer token for a program',
  request: { body: body(NewToken) },
  responses: { 201: json(TokenSecret, 'The token, shown this once.'), ...problems(409, 413, 415, 422) },
})
const end = createRoute({
  method: 'delete',
  path: '/tokens/{name}',
  tags,
  summary: 'End a token: what uses it is let in no longer',
  request: { params: TokenByName },
  responses: { 204: { description: 'It is of no use any more.' }, ...problems(404, 422) },
})

export function tokenRoutes({ store, clock, newSecret = randomSecret }: WebOptions): OpenAPIHono<WebEnv> {
  return new OpenAPIHono<WebEnv>()
    .openapi(list, async c => {
      const tokens = (await store.tokens()).map(({ name, role, createdAtMs }) => ({
        name,
        role,
        createdAt: iso(createdAtMs),
      }))
      return c.json({ tokens }, 200)
    })
    .openapi(add, async c => {
      const { name, role } = c.req.valid('json')
      const known = await store.tokens()
      if (known.some(token => token.name === name))
        throw new HttpProblem(409, `Cannot add token: its name must be free, got ${name}`, {
          errors: [{ field: 'name', message: 'There is a token of this name already.' }],
        })
      if (known.length >= MOST_TOKENS)
        throw new HttpProblem(409, `Cannot add token: ${MOST_TOKENS} are as many as there can be`)
      const token = newSecret()
      await store.keepToken({ name, role, hash: hashSecret(token), createdAtMs: clock() })
      c.set('subject', `${name}, ${role}`)
      return c.json({ name, role, token }, 201)
    })
    .openapi(end, async c => {
      const { name } = c.req.valid('param')
      if (!(await store.dropToken?.(name)))
        throw new HttpProblem(404, `Cannot end token: there is none called ${name}`)
      return c.body(null, 204)
    })
}
