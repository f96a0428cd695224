import { describe, expect, it } from 'vitest'
import { setPassword } from '../../broker/password.ts'
import { mayAct, ROLES, type SignInRole } from '../../broker/roles.ts'
import { hashSecret } from '../../broker/secrets.ts'
import { rulesOf } from '../../broker/web/access/rule-for.ts'
import { ACCESS, ANYONE } from '../../broker/web/access/table.ts'
import { NOW_MS } from './examples.ts'
import { bench, refusal } from './harness.ts'
import { fakeFeeding } from './fake-feeding.ts'

const described = async () => {
  const { ask } = bench({ feeding: fakeFeeding() })
  const { paths } = await (await ask('GET', '/api/v1/openapi.json')).json()
  return Object.entries(paths as Record<string, object>).flatMap(([path, item]) =>
    Object.keys(item).map(method => ({
      method: method.toUpperCase(),
      path,
      operation: `${method.toUpperCase()} ${path}`,
    })),
  )
}
const OTHERS = ['GET /healthz', 'GET /metrics', 'GET /api/v1/openapi.json', 'GET /api/v1/live']

/** A service with a token of each role, and what it is asked with each. */
async function withRoles() {
  const it = bench({ signIn: true, feeding: fakeFeeding() })
  await setPassword(it.store, 'brine and air', NOW_MS)
  for (const role of ROLES)
    it.store.tokenRows.push({ name: `the-${role}`, hash: hashSecret(`t0ken-${role}`), createdAtMs: 0, role })
  const as = (role: SignInRole | null, method: string, path: string, json?: unknown) =>
    it.ask(method, path, json, role === null ? {} : { headers: { authorization: `Bearer t0ken-${role}` } })
  return { ...it, as }
}
/** An address of the operation; what does not exist is found missing only by whoever may ask for it. */
const filled = (path: string): string => path.replaceAll(/\{\w+\}/g, 'no-such')

describe('the table of who may do what', () => {
  it('has a row for every operation that is described, and no row for anything else', async () => {
    const operations = (await described()).map(({ operation }) => operation)
    expect(Object.keys(ACCESS).sort()).toEqual([...operations, ...OTHERS].sort())
  })

  it('lets nobody in without sign-in but by the ways in, which are few', () => {
    const open = Object.entries(ACCESS).flatMap(([operation, { least }]) =>
      least === ANYONE ? [operation] : [],
    )
    expect(open.sort()).toEqual([
      'DELETE /api/v1/session',
      'GET /healthz',
      'POST /api/v1/pairing',
      'POST /api/v1/session',
      'POST /api/v1/session/link',
    ])
  })

  it('gives viewers nothing that changes what is kept', () => {
    const may = Object.entries(ACCESS).filter(([, { least }]) => least === 'viewer')
    const notGet = may.map(([operation]) => operation).filter(operation => !operation.startsWith('GET '))
    // Reckoned from what is sent, and forgotten.
    expect(notGet.sort()).toEqual(['POST /api/v1/calibrations/reckon', 'POST /api/v1/counts/estimate'])
  })

  it('takes the stricter of two rows that fit, whatever their order', () => {
    const strict = { 'GET /a/{id}': { least: 'owner' }, 'GET /a/b': { least: 'viewer' } } as const
    const reversed = Object.fromEntries(Object.entries(strict).reverse())
    for (const table of [strict, reversed]) expect(rulesOf(table)('GET', '/a/b')?.least).toBe('owner')
    expect(rulesOf(strict)('HEAD', '/a/c')?.least).toBe('owner')
    expect(rulesOf(strict)('GET', '/a/c/d')).toBeUndefined()
  })

  it('every operation refuses every lesser role with 403 and says for whom it is, and whoever is not signed in with 401', async () => {
    const { as } = await withRoles()
    for (const { method, path, operation } of await described()) {
      const least = ACCESS[operation]?.least
      if (least === undefined || least === ANYONE) continue
      await refusal(await as(null, method, filled(path)), 401)
      for (const role of ROLES) {
        const response = await as(role, method, filled(path), method === 'GET' ? undefined : {})
        if (mayAct(role, least)) {
          expect(response.status, `${operation} as ${role}`).not.toBe(403)
          continue
        }
        const { detail } = await refusal(response, 403)
        expect(detail).toContain(`the-${role} is signed in as ${role}`)
      }
    }
  })

  it('a route that is missing from the table is not there, for the owner neither', async () => {
    const { web, as } = await withRoles()
    web.app.get('/api/v1/forgotten', c => c.text('in the open'))
    const response = await as('owner', 'GET', '/api/v1/forgotten')
    expect(await response.clone().text()).not.toContain('in the open')
    await refusal(response, 404)
  })

  it.each([
    '/api/v1/settings/',
    '/api/v1//settings',
    '/api/v1/SETTINGS',
    '/API/v1/settings',
    '/api/v1/settings%2f',
    '/api/v1/./settings',
  ])('is not got round by writing the path as %s', async path => {
    const { as, room } = await withRoles()
    const before = JSON.stringify(room.snapshot().settings)
    const response = await as('viewer', 'PUT', path, { ...room.snapshot().settings, heatLimitC: 20 })
    expect(response.status).toBeGreaterThanOrEqual(400)
    expect(JSON.stringify(room.snapshot().settings)).toBe(before)
  })

  it('is not got round by a header or a field that names another method', async () => {
    const { ask, store } = await withRoles()
    const headers = { authorization: 'Bearer t0ken-viewer', 'x-http-method-override': 'DELETE' }
    const response = await ask('GET', '/api/v1/tokens/the-owner?_method=DELETE', undefined, { headers })
    expect(response.status).toBe(405)
    expect(store.tokenRows).toHaveLength(3)
  })
})
