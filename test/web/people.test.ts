import { describe, expect, it } from 'vitest'
import { setPassword } from '../../broker/password.ts'
import { AuditList, PersonLink, Session, SessionList, TokenSecret } from '../../broker/web/api/session.ts'
import { NOW_MS } from './examples.ts'
import { answer, bench, refusal } from './harness.ts'

const PASSWORD = 'brine and air'
const DAY_MS = 86_400_000

/** A service whose owner is signed in, and a way to act with any cookie. */
async function house() {
  const it = bench({ signIn: true })
  await setPassword(it.store, PASSWORD, NOW_MS - DAY_MS)
  const as = (cookie: string, method: string, path: string, json?: unknown, agent = 'a browser') =>
    it.ask(method, `/api/v1${path}`, json, {
      headers: { ...(cookie === '' ? {} : { cookie }), 'user-agent': agent },
      address: '10.0.0.7',
    })
  const cookieOf = (response: Response) => (response.headers.get('set-cookie') ?? '').split(';')[0] ?? ''
  const owner = cookieOf(await as('', 'POST', '/session', { password: PASSWORD }))
  const letIn = async (name: string, role: string) => {
    const made = await answer(await as(owner, 'POST', '/people', { name, role }), 201, PersonLink)
    return { made, secret: made.path.split('#')[1] ?? '' }
  }
  const use = (secret: string, password?: string) =>
    as('', 'POST', '/session/link', { secret, ...(password === undefined ? {} : { password }) })
  return { ...it, it, as, cookieOf, owner, letIn, use }
}

describe('somebody who is let in', () => {
  it('signs in by a link that is good once, and is known by name and role', async () => {
    const { letIn, use, as, cookieOf } = await house()
    const { made, secret } = await letIn(' Ann ', 'helper')
    expect(made.person).toMatchObject({ name: 'Ann', role: 'helper', hasPassword: false })
    expect(made.path.startsWith('/join#')).toBe(true)
    const response = await use(secret)
    const cookie = cookieOf(response)
    expect(await answer(response, 200, Session)).toEqual({ signInNeeded: true, name: 'Ann', role: 'helper' })
    expect(await answer(await as(cookie, 'GET', '/session'), 200, Session)).toMatchObject({ name: 'Ann' })
    await refusal(await use(secret), 401)
  })

  it('is refused with a link that is three days old, and with a guess', async () => {
    const parts = await house()
    const { secret } = await parts.letIn('Ann', 'helper')
    parts.it.nowMs = NOW_MS + 3 * DAY_MS
    await refusal(await parts.use(secret), 401)
    await refusal(await parts.use('guess'), 401)
  })

  it('may choose a password, which must be long enough, and signs in with name and password from then on', async () => {
    const { letIn, use, as } = await house()
    const { secret } = await letIn('Ann', 'viewer')
    expect((await refusal(await use(secret, 'short'), 422)).fields).toEqual(['password'])
    expect((await use(secret, 'of a certain length')).status).toBe(200)
    const signIn = (name: string | undefined, password: string) =>
      as('', 'POST', '/session', { password, ...(name === undefined ? {} : { name }) })
    expect(await answer(await signIn('ann', 'of a certain length'), 200, Session)).toMatchObject({
      role: 'viewer',
    })
    await refusal(await signIn('Ann', PASSWORD), 401)
    await refusal(await signIn(undefined, 'of a certain length'), 401)
    await refusal(await signIn('Nobody', 'of a certain length'), 401)
  })

  it('is in the log of what they did, when they name nobody else', async () => {
    const { letIn, use, as, cookieOf } = await house()
    const ann = cookieOf(await use((await letIn('Ann', 'helper')).secret))
    const taken = await as(ann, 'POST', '/batches/b1/events', { kind: 'note', text: 'smells well' })
    expect(taken.status, await taken.clone().text()).toBe(201)
    expect((await taken.json()).by).toBe('Ann')
  })

  it('or is the owner, who has no name of their own', async () => {
    const { as, owner } = await house()
    const point = { reference: 'ice', from: '2026-01-01T00:00:00Z', to: '2026-01-01T00:02:00Z' }
    for (const [path, sent] of [
      ['/calibrations', { probe: 'bench-1/2/water', points: [point] }],
      ['/batches/b1/events', { kind: 'note', text: 'smells well' }],
    ] as const)
      expect((await (await as(owner, 'POST', path, sent)).json()).by, path).toBe('the owner')
  })

  it('has the role that the owner gave last, at once', async () => {
    const { letIn, use, as, cookieOf, owner } = await house()
    const { made, secret } = await letIn('Ann', 'viewer')
    const ann = cookieOf(await use(secret))
    const note = () => as(ann, 'POST', '/batches/b1/events', { kind: 'note', text: 'x' })
    await refusal(await note(), 403)
    expect((await as(owner, 'PUT', `/people/${made.person.id}/role`, { role: 'helper' })).status).toBe(200)
    expect((await note()).status).toBe(201)
    await refusal(await as(owner, 'PUT', `/people/${made.person.id}/role`, { role: 'owner' }), 422)
  })

  it('is out at once when removed, and another of the same name does not inherit the session', async () => {
    const { letIn, use, as, cookieOf, owner, store } = await house()
    const { made, secret } = await letIn('Ann', 'helper')
    const ann = cookieOf(await use(secret))
    expect((await as(owner, 'DELETE', `/people/${made.person.id}`)).status).toBe(204)
    await refusal(await as(ann, 'GET', '/vessels'), 401)
    await letIn('Ann', 'helper')
    await refusal(await as(ann, 'GET', '/vessels'), 401)
    expect([...store.sessionRows.values()].every(row => row.person === null)).toBe(true)
  })

  it('loses what was signed in before when a new link is used', async () => {
    const parts = await house()
    const { made, secret } = await parts.letIn('Ann', 'helper')
    const lost = parts.cookieOf(await parts.use(secret))
    parts.it.nowMs = NOW_MS + 1000
    const again = await answer(
      await parts.as(parts.owner, 'POST', `/people/${made.person.id}/link`),
      201,
      PersonLink,
    )
    const found = parts.cookieOf(await parts.use(again.path.split('#')[1] ?? ''))
    await refusal(await parts.as(lost, 'GET', '/vessels'), 401)
    expect((await parts.as(found, 'GET', '/vessels')).status).toBe(200)
  })

  it.each([
    ['', 422],
    ['   ', 422],
    ['a\r\nSet-Cookie: b=c', 422],
    ['a\u202eb', 422],
    ['x'.repeat(61), 422],
    ['OWNER\u0000', 422],
  ])('cannot be called %j', async (name, status) => {
    const { as, owner } = await house()
    await refusal(await as(owner, 'POST', '/people', { name, role: 'helper' }), status)
  })

  it('cannot have the name of another in other letters, and there are fifty at most', async () => {
    const { as, owner, letIn } = await house()
    await letIn('Jos\u00e9', 'helper')
    await refusal(await as(owner, 'POST', '/people', { name: 'JOSE\u0301', role: 'viewer' }), 409)
    for (let n = 1; n < 50; n++) await letIn(`Person ${n}`, 'viewer')
    await refusal(await as(owner, 'POST', '/people', { name: 'One more', role: 'viewer' }), 409)
  })
})

describe('sessions', () => {
  it('are listed with from where, and ended one by one; nothing in the list lets anybody in', async () => {
    const { letIn, use, as, cookieOf, owner } = await house()
    const ann = cookieOf(await use((await letIn('Ann', 'helper')).secret))
    const { sessions } = await answer(await as(owner, 'GET', '/sessions'), 200, SessionList)
    expect(sessions.map(({ name, own, address, agent }) => [name, own, address, agent])).toEqual([
      [null, true, '10.0.0.7', 'a browser'],
      ['Ann', false, '10.0.0.7', 'a browser'],
    ])
    for (const { id } of sessions) await refusal(await as(`brinewatch_session=${id}`, 'GET', '/vessels'), 401)
    const hers = sessions.find(({ name }) => name === 'Ann')?.id ?? ''
    expect((await as(owner, 'DELETE', `/sessions/${hers}`)).status).toBe(204)
    await refusal(await as(ann, 'GET', '/vessels'), 401)
    await refusal(await as(owner, 'DELETE', `/sessions/${hers}`), 404)
  })

  it('are new at each sign-in, whatever cookie came along, and the one before is over', async () => {
    const { as, cookieOf, owner } = await house()
    const planted = 'brinewatch_session=planted-by-somebody'
    const given = cookieOf(await as(planted, 'POST', '/session', { password: PASSWORD }))
    expect(given).not.toBe(planted)
    await refusal(await as(planted, 'GET', '/vessels'), 401)
    const next = cookieOf(await as(owner, 'POST', '/session', { password: PASSWORD }))
    expect((await as(next, 'GET', '/vessels')).status).toBe(200)
    await refusal(await as(owner, 'GET', '/vessels'), 401)
  })
})

describe('tokens', () => {
  it('have the role that they were added with, and end at once', async () => {
    const { as, ask, owner } = await house()
    const made = await answer(
      await as(owner, 'POST', '/tokens', { name: 'wall', role: 'viewer' }),
      201,
      TokenSecret,
    )
    const with_ = (method: string, path: string) =>
      ask(method, `/api/v1${path}`, undefined, { headers: { authorization: `Bearer ${made.token}` } })
    expect((await with_('GET', '/vessels')).status).toBe(200)
    await refusal(await with_('GET', '/people'), 403)
    await refusal(await as(owner, 'POST', '/tokens', { name: 'wall', role: 'owner' }), 409)
    const listed = await (await as(owner, 'GET', '/tokens')).text()
    expect(listed).not.toContain(made.token)
    expect((await as(owner, 'DELETE', '/tokens/wall')).status).toBe(204)
    await refusal(await with_('GET', '/vessels'), 401)
  })
})

describe('the audit log', () => {
  it('tells who did what from where, the newest first, and holds no secret', async () => {
    const { as, owner, letIn, use, cookieOf, store } = await house()
    await refusal(await as('', 'POST', '/session', { password: 'a wrong password' }), 401)
    const { secret } = await letIn('Ann', 'viewer')
    const ann = cookieOf(await use(secret, 'of a certain length'))
    await refusal(await as(ann, 'PUT', '/settings', {}), 403)
    await as(owner, 'POST', '/devices', { name: 'bench-9' })
    await as(owner, 'GET', '/export/batches')
    await as(ann, 'DELETE', '/session')
    const { lines } = await answer(await as(owner, 'GET', '/audit?limit=500'), 200, AuditList)
    expect(lines.map(({ act, who, failed }) => [act, who, failed])).toEqual([
      ['signed out', 'Ann', false],
      ['wrote a table out', 'owner', false],
      ['let a device in', 'owner', false],
      ['was refused for the role', 'Ann', true],
      ['signed in by link', 'Ann', false],
      ['let somebody in', 'owner', false],
      ['sign-in was refused', 'nobody signed in', true],
      ['signed in', 'owner', false],
    ])
    expect(lines.every(({ address }) => address === '10.0.0.7')).toBe(true)
    expect(lines.find(({ act }) => act === 'let a device in')?.subject).toBe('bench-9')
    const text = JSON.stringify(store.auditRows)
    for (const word of [
      PASSWORD,
      'a wrong password',
      secret,
      'of a certain length',
      ann.split('=')[1],
      owner.split('=')[1],
    ])
      expect(text).not.toContain(word)
    const [, , third] = lines
    const older = await answer(await as(owner, 'GET', `/audit?before=${third?.id}`), 200, AuditList)
    expect(older.lines).toEqual(lines.slice(3))
  })

  it('is for the owner, and nothing over HTTP changes it', async () => {
    const { as, owner, letIn, use, cookieOf } = await house()
    const ann = cookieOf(await use((await letIn('Ann', 'helper')).secret))
    await refusal(await as(ann, 'GET', '/audit'), 403)
    for (const method of ['POST', 'PUT', 'PATCH', 'DELETE'])
      await refusal(await as(owner, method, '/audit', {}), 405)
  })

  it('does not let a name or an address write a line of its own', async () => {
    const { as, owner, store } = await house()
    await as(owner, 'DELETE', '/tokens/none%0aowner%20did%20it')
    await as(owner, 'DELETE', '/people/x%1b%5b2J')
    for (const row of store.auditRows) expect(JSON.stringify(row)).not.toMatch(/\\n|\\u001b/)
  })

  it('that cannot be kept does not keep anybody out, and is in the log of the service', async () => {
    const { as, it, store, logged } = await house()
    const kept = store.keepAudit.bind(store)
    store.keepAudit = async () => Promise.reject(new Error('no room'))
    expect((await as('', 'POST', '/session', { password: PASSWORD })).status).toBe(200)
    store.keepAudit = kept
    expect(logged.join('')).toContain('audit log could not be kept')
    expect(it.logged.join('')).not.toContain(PASSWORD)
  })
})
