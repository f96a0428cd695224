import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import { deleteCookie, setCookie } from 'hono/cookie'
import { isPassword, passwordSetAt } from '../../password.ts'
import { Session, SignIn as SignInBody } from '../api/session.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { HttpProblem } from '../problem.ts'
import { SESSION_COOKIE, SESSION_DAYS, type SignIn } from '../sign-in.ts'
import { createSignInGate } from '../sign-in-gate.ts'
import { body, json, problems } from './describe.ts'

const tags = ['session']
const who = createRoute({
  method: 'get',
  path: '/session',
  tags,
  summary: 'Who is asking, and whether anybody must sign in',
  responses: { 200: json(Session, 'May look and act. Who may not gets 401.'), ...problems() },
})
const open = createRoute({
  method: 'post',
  path: '/session',
  tags,
  summary: 'Sign in with the password; the answer sets the session cookie',
  request: { body: body(SignInBody) },
  responses: { 200: json(Session, 'Signed in, for 30 days.'), ...problems(409, 413, 415, 422, 429) },
})
const end = createRoute({
  method: 'delete',
  path: '/session',
  tags,
  summary: 'Sign out',
  responses: { 204: { description: 'Signed out.' }, ...problems() },
})

export function sessionRoutes(
  { store, signIn: signInNeeded, logger }: WebOptions,
  signIn: SignIn,
  onEnd: (session: string) => void,
): OpenAPIHono<WebEnv> {
  const gate = createSignInGate()

  return new OpenAPIHono<WebEnv>()
    .openapi(who, c => {
      return c.json({ signInNeeded, name: c.get('identity')?.name ?? null }, 200)
    })
    .openapi(open, async c => {
      if (!signInNeeded) throw new HttpProblem(409, 'Cannot sign in: this service works without')
      if ((await passwordSetAt(store)) === null) {
        throw new HttpProblem(
          409,
          'Cannot sign in: no password is set; run "brinewatch password set" on the machine',
        )
      }
      const { password } = c.req.valid('json')
      const address = c.env?.incoming?.socket.remoteAddress ?? 'unknown'
      const admission = await gate(address, () => isPassword(store, password))
      if ('waitS' in admission) {
        const { waitS } = admission
        throw new HttpProblem(429, `Cannot sign in: too many wrong passwords, try again in ${waitS} s`, {
          headers: { 'Retry-After': String(waitS) },
        })
      }
      if (!admission.right) {
        logger.warn({ address }, 'a sign-in was refused: not the password')
        const message = 'Cannot sign in: this is not the password'
        throw new HttpProblem(401, message, { errors: [{ field: 'password', message }] })
      }
      setCookie(c, SESSION_COOKIE, await signIn.open(), {
        path: '/',
        httpOnly: true,
        sameSite: 'Strict',
        maxAge: SESSION_DAYS * 86_400,
        // Behind a proxy that adds TLS the browser's page is https, and the cookie must never travel without it.
        secure: c.req.header('origin')?.startsWith('https://') ?? false,
      })
      return c.json({ signInNeeded, name: null }, 200)
    })
    .openapi(end, async c => {
      const session = c.get('identity')?.session
      if (session) {
        await signIn.end(session)
        onEnd(session)
      }
      deleteCookie(c, SESSION_COOKIE, { path: '/' })
      return c.body(null, 204)
    })
}
