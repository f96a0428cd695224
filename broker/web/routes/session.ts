import { createRoute, OpenAPIHono } from '@hono/zod-openapi'
import type { Context } from 'hono'
import { deleteCookie, setCookie } from 'hono/cookie'
import { isPassword, passwordSetAt } from '../../password.ts'
import { personByPassword, useLink, type Person } from '../../people.ts'
import { SignInRole } from '../../roles.ts'
import { addressOf, record } from '../access/enforce.ts'
import { Session, SignIn as SignInBody, UseLink } from '../api/session.ts'
import type { WebEnv, WebOptions } from '../context.ts'
import { HttpProblem } from '../problem.ts'
import { SESSION_COOKIE, SESSION_DAYS, type SignIn } from '../sign-in.ts'
import { createSignInGate, type SignInGate } from '../sign-in-gate.ts'
import { body, json, problems } from './describe.ts'

const tags = ['session']
const who = createRoute({
  method: 'get',
  path: '/session',
  tags,
  summary: 'Who is asking, what they may do, and whether anybody must sign in',
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
const link = createRoute({
  method: 'post',
  path: '/session/link',
  tags,
  summary: 'Sign in with a link that the owner made, and choose a password if wanted. The link is used up',
  request: { body: body(UseLink) },
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
  options: WebOptions,
  signIn: SignIn,
  onEnd: (session: string) => void,
): OpenAPIHono<WebEnv> {
  const { store, signIn: signInNeeded, logger, clock } = options
  const gates = { password: createSignInGate(), link: createSignInGate() }

  async function mustBeNeeded(): Promise<void> {
    if (!signInNeeded) throw new HttpProblem(409, 'Cannot sign in: this service works without')
    if ((await passwordSetAt(store)) === null) {
      throw new HttpProblem(
        409,
        'Cannot sign in: no password is set; run "brinewatch password set" on the machine',
      )
    }
  }

  /** Resolves to whoever it is, `null` for the owner; `undefined` when it is nobody. */
  async function tried(
    gate: SignInGate,
    c: Context<WebEnv>,
    look: () => Promise<Person | null | undefined>,
  ): Promise<Person | null | undefined> {
    let found: Person | null | undefined
    const admission = await gate(addressOf(c), async () => (found = await look()) !== undefined)
    if (!('waitS' in admission)) return found
    const { waitS } = admission
    throw new HttpProblem(429, `Cannot sign in: too many wrong tries, try again in ${waitS} s`, {
      headers: { 'Retry-After': String(waitS) },
    })
  }

  /** Always a new session, so that nobody's earlier knowledge of one is of use; the browser's own before ends. */
  async function letIn(c: Context<WebEnv>, person: Person | null, act: string) {
    const before = c.get('identity')?.session
    if (before) {
      await signIn.end(before)
      onEnd(before)
    }
    const from = { address: addressOf(c), agent: c.req.header('user-agent') ?? '' }
    setCookie(c, SESSION_COOKIE, await signIn.open(person, from), {
      path: '/',
      httpOnly: true,
      sameSite: 'Strict',
      maxAge: SESSION_DAYS * 86_400,
      // Behind a proxy that adds TLS the browser's page is https, and the cookie must never travel without it.
      secure: c.req.header('origin')?.startsWith('https://') ?? false,
    })
    const as = { name: person?.name ?? null, session: null, role: person?.role ?? SignInRole.owner }
    await record(options, c, { act, as })
    return c.json({ signInNeeded, name: as.name, role: as.role }, 200)
  }

  async function turnAway(
    c: Context<WebEnv>,
    field: string,
    words: string,
    subject?: string,
  ): Promise<never> {
    logger.warn({ address: addressOf(c) }, `a sign-in was refused: ${words}`)
    await record(options, c, {
      act: 'sign-in was refused',
      failed: true,
      ...(subject === undefined ? {} : { subject }),
    })
    const message = `Cannot sign in: ${words}`
    throw new HttpProblem(401, message, { errors: [{ field, message }] })
  }

  return new OpenAPIHono<WebEnv>()
    .openapi(who, c => {
      const identity = c.get('identity')
      return c.json(
        { signInNeeded, name: identity?.name ?? null, role: identity?.role ?? SignInRole.viewer },
        200,
      )
    })
    .openapi(open, async c => {
      await mustBeNeeded()
      const { password, name = '' } = c.req.valid('json')
      const named = name.trim() !== ''
      const found = await tried(gates.password, c, async () => {
        if (named) return (await personByPassword(store, name, password)) ?? undefined
        return (await isPassword(store, password)) ? null : undefined
      })
      if (found !== undefined) return letIn(c, found, 'signed in')
      // What was typed as a name may be a password, typed into the wrong field: it is not written down.
      return turnAway(
        c,
        'password',
        named ? 'this is not that name with its password' : 'this is not the password',
      )
    })
    .openapi(link, async c => {
      await mustBeNeeded()
      const { secret, password } = c.req.valid('json')
      const found = await tried(gates.link, c, async () => {
        try {
          return (await useLink(store, secret, password ?? null, clock())) ?? undefined
        } catch (error) {
          if (!(error instanceof RangeError)) throw error
          const { message } = error
          throw new HttpProblem(422, message, { errors: [{ field: 'password', message }] })
        }
      })
      if (found !== undefined && found !== null) return letIn(c, found, 'signed in by link')
      return turnAway(
        c,
        'secret',
        'this link is not known, was used, or is too old; ask for a new one',
        'link',
      )
    })
    .openapi(end, async c => {
      const session = c.get('identity')?.session
      if (session) {
        await signIn.end(session)
        onEnd(session)
        await record(options, c, { act: 'signed out' })
      }
      deleteCookie(c, SESSION_COOKIE, { path: '/' })
      return c.body(null, 204)
    })
}
