import { connect } from 'node:net'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { setPassword } from '../../broker/password.ts'
import { NOW_MS } from './examples.ts'
import { bench, refusal, type Bench } from './harness.ts'

const PASSWORD = 'brine and air'

describe('a page of another origin', () => {
  const settings = async (it: Bench) => JSON.stringify(it.room.snapshot().settings)

  it.each([
    ['text/plain', { origin: 'https://evil.example' }],
    ['text/plain', {}],
    ['application/x-www-form-urlencoded', {}],
    ['multipart/form-data; boundary=x', {}],
    ['application/json', { origin: 'null' }],
    ['application/json', { origin: 'http://localhost.evil.example' }],
    ['application/json', { 'sec-fetch-site': 'cross-site' }],
  ])('changes nothing by a body of %s with %j', async (type, headers) => {
    const it = bench()
    const before = await settings(it)
    const body = JSON.stringify({ ...JSON.parse(before), temperatureUnit: 'F' })
    const response = await it.ask('PUT', '/api/v1/settings', body, {
      headers: { 'content-type': type, ...headers },
    })
    expect([403, 415, 422]).toContain(response.status)
    expect(await settings(it)).toBe(before)
  })
})

describe('what is too deep, too odd or too long', () => {
  it.each([
    ['arrays', '['.repeat(100_000)],
    ['arrays that close', `${'['.repeat(100_000)}${']'.repeat(100_000)}`],
    ['objects', '{"a":'.repeat(40_000)],
  ])('JSON of nested %s is refused, and does not end the process', async (_, text) => {
    for (const [method, path] of [
      ['PUT', '/api/v1/settings'],
      ['POST', '/api/v1/import'],
      ['POST', '/api/v1/batches'],
    ] as const) {
      const response = await bench().ask(method, path, text)
      expect([400, 413, 422]).toContain(response.status)
    }
  })

  it.each(['__proto__', 'constructor', 'prototype'])('the key %s changes no object', async key => {
    const it = bench()
    for (const [method, path] of [
      ['PUT', '/api/v1/settings'],
      ['PUT', '/api/v1/notify'],
      ['POST', '/api/v1/import'],
      ['POST', '/api/v1/batches/b1/events'],
    ] as const)
      await it.ask(
        method,
        path,
        `{"${key}":{"polluted":"yes","prototype":{"polluted":"yes"}},"kind":"note","text":"x"}`,
      )
    expect(({} as Record<string, unknown>)['polluted']).toBeUndefined()
    expect((Object as unknown as Record<string, unknown>)['polluted']).toBeUndefined()
  })

  it('texts that make patterns slow are answered at once', async () => {
    const { ask } = bench()
    const slow = ['a'.repeat(50_000), '-'.repeat(50_000), '1'.repeat(50_000), `${' '.repeat(50_000)}x`]
    for (const text of slow) {
      const began = process.cpuUsage()
      await ask('GET', `/${encodeURIComponent(text)}`)
      await ask(
        'GET',
        `/api/v1/vessels/${encodeURIComponent(text)}/readings?from=${encodeURIComponent(text)}`,
      )
      await ask('POST', '/api/v1/batches', { vesselId: 'v1', startedAt: text, note: text })
      await ask('GET', '/api/v1/vessels', undefined, {
        headers: { cookie: `brinewatch_session=${text}`, authorization: `Bearer ${text}` },
      })
      // Each takes a few ms of this process's own work; what grows with the square of the length takes minutes.
      const { user, system } = process.cpuUsage(began)
      expect((user + system) / 1000).toBeLessThan(5000)
    }
  })

  it('a name with a new line in it makes no header of its own', async () => {
    const { ask } = bench()
    const response = await ask('GET', '/api/v1/export/batches%0d%0aSet-Cookie:%20a=b')
    expect(response.headers.get('set-cookie')).toBeNull()
    await refusal(response, 422)
  })
})

describe('over a bare socket', () => {
  const service = bench({ signIn: true })
  let port = 0
  beforeAll(async () => {
    await setPassword(service.store, PASSWORD, NOW_MS)
    port = (await service.web.listen('127.0.0.1', 0)).port
  })
  afterAll(() => service.web.close())

  const say = (text: string): Promise<string> =>
    new Promise(resolve => {
      let got = ''
      const socket = connect(port, '127.0.0.1', () => socket.write(text))
      socket.setEncoding('latin1')
      socket.on('data', chunk => (got += String(chunk)))
      socket.on('error', () => resolve(got))
      socket.on('close', () => resolve(got))
      setTimeout(() => socket.destroy(), 3000)
    })

  it.each([
    ['no HTTP', 'hello\r\n\r\n', 400],
    ['headers without end', `GET / HTTP/1.1\r\nHost: localhost\r\nX: ${'x'.repeat(100_000)}\r\n\r\n`, 431],
    ['no Host', 'GET / HTTP/1.1\r\nConnection: close\r\n\r\n', 400],
    ['a Host that is none', 'GET / HTTP/1.1\r\nHost: a b\r\nConnection: close\r\n\r\n', 400],
    [
      'a Host that would write a policy',
      'GET / HTTP/1.1\r\nHost: x;script-src *\r\nConnection: close\r\n\r\n',
      400,
    ],
    [
      'two lengths',
      'POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: 1\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n',
      400,
    ],
  ])('%s is refused, with a policy that lets nothing run', async (_, text, status) => {
    const answer = await say(text)
    expect(answer).toMatch(new RegExp(`^HTTP/1.1 ${status} `))
    expect(answer.toLowerCase()).toContain("content-security-policy: default-src 'none'")
    expect(answer).not.toContain('script-src *')
    expect(answer).not.toContain('unsafe')
  })

  it('passwords, tokens and sessions are in no line of the log, at its most talkative', async () => {
    const { ask, logged } = service
    const secrets = [PASSWORD, 'a guess at it', 'Bearer-t0ken']
    const opened = await ask('POST', '/api/v1/session', { password: PASSWORD })
    const cookie = (opened.headers.get('set-cookie') ?? '').split(';')[0] ?? ''
    secrets.push(cookie.split('=')[1] ?? '')
    await ask('POST', '/api/v1/session', { password: 'a guess at it' })
    await ask('GET', '/api/v1/vessels', undefined, { headers: { authorization: 'Bearer Bearer-t0ken' } })
    const made = await (
      await ask('POST', '/api/v1/people', { name: 'Ann', role: 'helper' }, { headers: { cookie } })
    ).json()
    secrets.push(made.path.split('#')[1])
    const device = await (
      await ask('POST', '/api/v1/devices', { name: 'bench-7' }, { headers: { cookie } })
    ).json()
    secrets.push(device.password)
    service.room.forecast = async () => Promise.reject(new TypeError('inner workings'))
    await ask('GET', '/api/v1/batches/b1/forecast', undefined, { headers: { cookie } })
    expect(logged.join('')).toContain('inner workings')
    for (const secret of secrets) {
      expect(secret.length).toBeGreaterThan(9)
      expect(logged.join('')).not.toContain(secret)
      expect(JSON.stringify(service.store.auditRows)).not.toContain(secret)
    }
  })
})
