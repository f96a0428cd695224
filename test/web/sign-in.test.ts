import { beforeAll, describe, expect, it } from 'vitest'
import { setPassword } from '../../broker/password.ts'
import { hashSecret } from '../../broker/secrets.ts'
import type { WebOptions } from '../../broker/web/context.ts'
import { VesselList } from '../../broker/web/api/lists.ts'
import { Session } from '../../broker/web/api/session.ts'
import { NOW_MS } from './examples.ts'
import { fakeStore } from './fake-store.ts'
import { answer, bench, refusal } from './harness.ts'

const PASSWORD = 'brine and air'
const DAY_MS = 86_400_000
let hashed = ''

beforeAll(async () => {
  const store = fakeStore()
  await setPassword(store, PASSWORD, NOW_MS - DAY_MS)
  hashed = store.documents.get('password') ?? ''
})

/** A service that wants a sign-in, with a password set. */
function guarded(options: Partial<WebOptions> = {}) {
  const it = bench({ signIn: true, ...options })
  it.store.documents.set('password', hashed)
  const signIn = (password: unknown, address?: string, headers?: Record<string, string>) =>
    it.ask(
      'POST',
      '/api/v1/session',
      { password },
      { ...(address ? { address } : {}), ...(headers ? { headers } : {}) },
    )
  return { ...it, it, signIn }
}

async function signedIn() {
  const parts = guarded()
  const response = await parts.signIn(PASSWORD)
  expect(response.status).toBe(200)
  const setCookie = response.headers.get('set-cookie') ?? ''
  const cookie = setCookie.split(';')[0] ?? ''
  const as = (method: string, path: string, json?: unknown, more: Record<string, string> = {}) =>
    parts.ask(method, path, json, { headers: { cookie, ...more } })
  return { ...parts, as, cookie, setCookie, secret: cookie.split('=')[1] ?? '' }
}

describe('without sign-in', () => {
  it('everything is served, and the way in says that it is not needed', async () => {
    const { ask } = bench()
    expect(await answer(await ask('GET', '/api/v1/session'), 200, Session)).toEqual({
      signInNeeded: false,
      name: null,
      role: 'owner',
    })
    await refusal(await ask('POST', '/api/v1/session', { password: 'anything' }), 409)
  })

  it('is never listened for beyond loopback', async () => {
    for (const host of ['0.0.0.0', '::', '192.168.1.5', 'example.net', '127.0.0.1.example.net']) {
      await expect(bench().web.listen(host, 0)).rejects.toThrow(/sign-in/)
    }
  })
})

describe('with sign-in, somebody unknown', () => {
  it.each([
    'GET /api/v1/vessels',
    'POST /api/v1/vessels',
    'GET /api/v1/session',
    'GET /api/v1/openapi.json',
    'GET /api/v1/nothing',
    'GET /metrics',
    'DELETE /api/v1/vessels/v1',
    'GET /%61pi/v1/vessels',
  ])('gets 401 for %s', async route => {
    const [method = '', path = ''] = route.split(' ')
    const response = await guarded().ask(method, path)
    expect(response.headers.get('www-authenticate')).toBe('Bearer')
    await refusal(response, 401)
  })

  it('may ask whether the service is well, and get the pages to sign in with', async () => {
    const { ask } = guarded()
    expect((await ask('GET', '/healthz')).status).toBe(200)
    expect((await ask('GET', '/')).headers.get('content-type')).toContain('text/html')
  })

  it.each([
    ['cookie', 'brinewatch_session='],
    ['cookie', 'brinewatch_session=guess'],
    ['cookie', `brinewatch_session=${'x'.repeat(5000)}`],
    ['cookie', 'brinewatch_session=%E0%A4%A'],
    ['authorization', 'Bearer guess'],
    ['authorization', 'Bearer '],
    ['authorization', `Bearer ${'x'.repeat(5000)}`],
    ['authorization', `Basic ${Buffer.from('x:y').toString('base64')}`],
  ])('is not let in by %s: %s', async (name, value) => {
    await refusal(
      await guarded().ask('GET', '/api/v1/vessels', undefined, { headers: { [name]: value } }),
      401,
    )
  })

  it('is not let in by the hash that the store holds', async () => {
    const { ask, store } = await signedIn()
    const [hash = ''] = [...store.sessionRows.keys()]
    for (const headers of [{ cookie: `brinewatch_session=${hash}` }, { authorization: `Bearer ${hash}` }]) {
      await refusal(await ask('GET', '/api/v1/vessels', undefined, { headers }), 401)
    }
  })

  it('is told when no password was set yet', async () => {
    const { ask } = bench({ signIn: true })
    expect(
      (await refusal(await ask('POST', '/api/v1/session', { password: PASSWORD }), 409)).detail,
    ).toContain('password set')
  })
})

describe('signing in', () => {
  it('opens a session whose cookie no script can read and no other site can use', async () => {
    const { as, setCookie, secret, store } = await signedIn()
    expect(setCookie).toMatch(/; HttpOnly/)
    expect(setCookie).toMatch(/; SameSite=Strict/)
    expect(setCookie).toMatch(/; Path=\//)
    expect(setCookie).toMatch(/; Max-Age=2592000/)
    expect(setCookie).not.toMatch(/Domain=/)
    // 256 bits are 43 characters of base64url.
    expect(secret).toMatch(/^[\w-]{43}$/)
    expect([...store.sessionRows.values()]).toEqual([
      {
        hash: hashSecret(secret),
        createdAtMs: NOW_MS,
        expiresAtMs: NOW_MS + 30 * DAY_MS,
        person: null,
        address: '127.0.0.1',
        agent: '',
      },
    ])
    await answer(await as('GET', '/api/v1/vessels'), 200, VesselList)
    expect(await answer(await as('GET', '/api/v1/session'), 200, Session)).toEqual({
      signInNeeded: true,
      name: null,
      role: 'owner',
    })
  })

  it('marks the cookie as secure when the page came by https', async () => {
    const { signIn } = guarded({ allowedOrigins: ['https://hatch.example'] })
    const response = await signIn(PASSWORD, undefined, { origin: 'https://hatch.example' })
    expect(response.headers.get('set-cookie')).toMatch(/; Secure/)
  })

  it('puts no secret into the log', async () => {
    const { secret, logged, signIn } = await signedIn()
    await signIn('a wrong password')
    for (const word of [secret, PASSWORD, 'a wrong password']) expect(logged.join('')).not.toContain(word)
  })

  it('ends after 30 days, to the millisecond', async () => {
    const { it: service, as } = await signedIn()
    service.nowMs = NOW_MS + 30 * DAY_MS - 1
    expect((await as('GET', '/api/v1/vessels')).status).toBe(200)
    service.nowMs = NOW_MS + 30 * DAY_MS
    await refusal(await as('GET', '/api/v1/vessels'), 401)
  })

  it('ends with signing out, which also clears the cookie', async () => {
    const { as, store } = await signedIn()
    const out = await as('DELETE', '/api/v1/session')
    expect(out.status).toBe(204)
    expect(out.headers.get('set-cookie')).toMatch(/^brinewatch_session=;.*Max-Age=0/)
    expect(store.sessionRows.size).toBe(0)
    await refusal(await as('GET', '/api/v1/vessels'), 401)
  })

  it('ends with a new password, and the new one opens another', async () => {
    const { as, store, signIn } = await signedIn()
    await setPassword(store, 'another password', NOW_MS + 1)
    await refusal(await as('GET', '/api/v1/vessels'), 401)
    await refusal(await signIn(PASSWORD), 401)
  })

  it('refuses a wrong password and names the field', async () => {
    const { signIn } = guarded()
    expect((await refusal(await signIn('brine and ai'), 401)).fields).toEqual(['password'])
    for (const password of ['', 7, undefined, 'x'.repeat(257)]) {
      expect((await refusal(await signIn(password), 422)).fields).toEqual(['password'])
    }
  })
})

describe('a bearer token', () => {
  it('lets a machine in, and is over once it is removed', async () => {
    const { ask, store } = guarded()
    store.tokenRows.push({ name: 'other', hash: hashSecret('other'), createdAtMs: 0, role: 'owner' })
    store.tokenRows.push({ name: 'pager', hash: hashSecret('t0ken'), createdAtMs: 0, role: 'owner' })
    const asToken = () =>
      ask('GET', '/api/v1/session', undefined, { headers: { authorization: 'bearer t0ken' } })
    expect(await answer(await asToken(), 200, Session)).toEqual({
      signInNeeded: true,
      name: 'pager',
      role: 'owner',
    })
    store.tokenRows.pop()
    await refusal(await asToken(), 401)
  })
})
