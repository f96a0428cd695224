import { describe, expect, it } from 'vitest'
import { isLoopback } from '../../broker/loopback.ts'
import { createGuard, type Arrival } from '../../broker/web/guard.ts'
import { bench, refusal } from './harness.ts'

const arrival = (over: Partial<Arrival>): Arrival => ({
  method: 'POST',
  host: '127.0.0.1:8080',
  origin: undefined,
  fetchSite: undefined,
  webSocket: false,
  ...over,
})
const open = createGuard({ loopbackOnly: true, allowedOrigins: [] })
const network = createGuard({
  loopbackOnly: false,
  allowedOrigins: ['https://hatch.example', 'http://proxy:81/'],
})
const refused = (guard: typeof open, over: Partial<Arrival>) => guard(arrival(over))?.status ?? null

describe('without sign-in, only this machine is served', () => {
  it.each(['127.0.0.1', '127.0.0.1:8080', 'localhost', 'LOCALHOST:1', '[::1]', '[::1]:8080'])(
    'as %s',
    host => {
      expect(refused(open, { host })).toBeNull()
      expect(refused(open, { host, method: 'GET' })).toBeNull()
    },
  )

  // A foreign name that was pointed at 127.0.0.1 arrives with that name in Host.
  it.each([
    'evil.example',
    'evil.example:8080',
    'localhost.evil.example',
    '127.0.0.1.evil.example',
    'localhost.',
    '192.168.1.5:8080',
    '0.0.0.0:8080',
    '127.0.0.2',
  ])('not as %s, even to read', host => {
    expect(refused(open, { host, method: 'GET' })).toBe(403)
    expect(refused(open, { host, origin: `http://${host}` })).toBe(403)
    expect(refused(open, { host, method: 'GET', webSocket: true })).toBe(403)
  })

  it.each([undefined, '', 'a b', 'localhost/x', 'user@localhost', 'localhost:99999'])(
    'not as %j at all',
    host => {
      expect(refused(open, { host })).toBe(400)
    },
  )
})

describe('a page of another origin', () => {
  const foreign = [
    'http://evil.example',
    'null',
    '',
    'http://127.0.0.1:9090',
    'http://localhost:8080',
    'http://127.0.0.1:8080.evil.example',
    'file://',
    'chrome-extension://127.0.0.1:8080',
  ]
  it.each(foreign)('%j can neither change anything nor open a socket', origin => {
    for (const method of ['POST', 'PUT', 'PATCH', 'DELETE'])
      expect(refused(open, { method, origin })).toBe(403)
    expect(refused(open, { method: 'GET', webSocket: true, origin })).toBe(403)
    expect(refused(network, { origin })).toBe(403)
  })

  it('is told by what the browser says of the site where it names no origin', () => {
    for (const fetchSite of ['cross-site', 'same-site']) expect(refused(open, { fetchSite })).toBe(403)
    for (const fetchSite of ['same-origin', 'none', undefined])
      expect(refused(open, { fetchSite })).toBeNull()
  })

  it('may be allowed by name', () => {
    const host = '192.168.1.5:8080'
    expect(refused(network, { host, origin: 'https://hatch.example' })).toBeNull()
    expect(refused(network, { host, origin: 'http://proxy:81' })).toBeNull()
    expect(refused(network, { host, origin: 'http://hatch.example' })).toBe(403)
    expect(refused(network, { host, origin: 'https://hatch.example.evil.example' })).toBe(403)
  })
})

describe('our own page', () => {
  it.each([
    ['127.0.0.1:8080', 'http://127.0.0.1:8080'],
    ['[::1]:8080', 'http://[::1]:8080'],
    ['localhost', 'http://localhost'],
    ['localhost:80', 'http://localhost'],
  ])('at %s may do everything', (host, origin) => {
    expect(refused(open, { host, origin })).toBeNull()
    expect(refused(open, { host, origin, method: 'GET', webSocket: true })).toBeNull()
  })

  it('may be https behind a proxy that keeps the name', () => {
    expect(refused(network, { host: 'room.lan', origin: 'https://room.lan' })).toBeNull()
    expect(refused(network, { host: 'room.lan:443', origin: 'https://room.lan' })).toBeNull()
  })
})

describe('over HTTP', () => {
  it('a forged Origin changes nothing', async () => {
    const { ask, room } = bench()
    const headers = { origin: 'http://evil.example' }
    await refusal(await ask('POST', '/api/v1/vessels', { name: 'A', litres: 1 }, { headers }), 403)
    await refusal(await ask('POST', '/api/v1/batches/b1/end', undefined, { headers }), 403)
    expect(room.vesselViews.size).toBe(1)
    expect(room.batchRows.get('b1')?.endedAtMs).toBeNull()
  })

  it('a rebound name reads nothing, not even the pages', async () => {
    const { ask } = bench()
    for (const path of ['/api/v1/vessels', '/', '/healthz', '/metrics']) {
      await refusal(await ask('GET', path, undefined, { headers: { host: 'evil.example' } }), 403)
    }
  })

  it('a session is of no use to a foreign page', async () => {
    const { ask } = bench({ signIn: true })
    const headers = { origin: 'http://evil.example', cookie: 'brinewatch_session=any' }
    await refusal(await ask('DELETE', '/api/v1/session', undefined, { headers }), 403)
  })
})

describe('loopback', () => {
  it('is told from what only looks like it', () => {
    for (const host of ['127.0.0.1', '127.1.2.3', '::1', '[::1]', 'localhost'])
      expect(isLoopback(host)).toBe(true)
    for (const host of ['0.0.0.0', '::', '10.0.0.1', '127.0.0.1.example.net', 'localhost.example.net', '']) {
      expect(isLoopback(host)).toBe(false)
    }
  })
})
