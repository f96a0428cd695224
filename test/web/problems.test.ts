import { connect } from 'node:net'
import { afterEach, describe, expect, it } from 'vitest'
import { StoreError, StoreErrorCode } from '../../broker/store/contract.ts'
import { Problem } from '../../broker/web/api/schemas.ts'
import { bench, refusal } from './harness.ts'

describe('a request that cannot be served', () => {
  it('gets 404 where there is nothing', async () => {
    const { ask } = bench()
    for (const path of [
      '/api',
      '/api/v1',
      '/api/v1/nothing',
      '/api/v1/vessels/v1/nothing',
      '/api/v2/vessels',
    ]) {
      await refusal(await ask('GET', path), 404)
    }
  })

  it.each([
    ['DELETE', '/api/v1/vessels', 'GET, HEAD, POST'],
    ['POST', '/api/v1/vessels/v1', 'DELETE, GET, HEAD, PATCH'],
    ['GET', '/api/v1/vessels/v1/channels', 'PUT'],
    ['OPTIONS', '/api/v1/settings', 'GET, HEAD, PUT'],
    ['POST', '/api/v1/openapi.json', 'GET, HEAD'],
    ['PUT', '/healthz', 'GET, HEAD'],
  ])('gets 405 for %s %s, with what can be done there', async (method, path, allow) => {
    const response = await bench().ask(method, path)
    expect(response.headers.get('allow')).toBe(allow)
    await refusal(response, 405)
  })

  it('gets 400 for JSON that is not', async () => {
    const { ask } = bench()
    for (const text of ['{', '{"name":"A",}', 'NaN', '{"a":1}x', ' ']) {
      await refusal(await ask('POST', '/api/v1/vessels', text), 400)
    }
  })

  it('gets 415 for anything but JSON', async () => {
    const { ask } = bench()
    for (const type of ['text/plain', 'application/x-www-form-urlencoded', 'application/jsonx', '']) {
      const headers = { 'content-type': type }
      await refusal(await ask('POST', '/api/v1/vessels', '{"name":"A","litres":1}', { headers }), 415)
    }
    const type = { 'content-type': 'application/json; charset=utf-8' }
    const response = await ask('POST', '/api/v1/vessels', '{"name":"A","litres":1}', { headers: type })
    expect(response.status).toBe(201)
  })

  it('gets 413 for a body over 256 KiB, and nothing worse for one just below', async () => {
    const { ask } = bench()
    const vessel = JSON.stringify({ name: 'A', litres: 1 })
    const ofSize = (bytes: number) => vessel.padEnd(bytes, ' ')
    expect(ofSize(262_144)).toHaveLength(262_144)
    expect((await ask('POST', '/api/v1/vessels', ofSize(262_144))).status).toBe(201)
    await refusal(await ask('POST', '/api/v1/vessels', ofSize(262_145)), 413)
  })

  it('gets 503 and when to come back while the store is full, and is served again after', async () => {
    const { ask, store } = bench()
    store.failing = new StoreError(StoreErrorCode.full, 'Cannot keep device: the disk is full; make room')
    const response = await ask('POST', '/api/v1/devices', { name: 'a' })
    expect(response.headers.get('retry-after')).toMatch(/^[1-9]\d*$/)
    expect((await refusal(response, 503)).detail).toContain('the disk is full')
    store.failing = null
    expect((await ask('POST', '/api/v1/devices', { name: 'a' })).status).toBe(201)
  })

  it('gets 500 with an id that is in the log, and no word of what broke', async () => {
    const { ask, room, logged } = bench()
    room.forecast = async () => {
      throw new TypeError('secret inner workings')
    }
    const response = await ask('GET', '/api/v1/batches/b1/forecast')
    const text = await response.clone().text()
    expect(text).not.toMatch(/secret|TypeError|at /)
    const { errorId } = await refusal(response, 500)
    expect(errorId).toMatch(/^[\w-]{8,}$/)
    const line = logged.find(each => each.includes(errorId ?? 'none'))
    expect(line).toContain('secret inner workings')
  })

  it('is told so with the protective headers all the same', async () => {
    for (const path of ['/api/v1/nothing', '/api/v1/vessels/none', '/', '/missing.js']) {
      const { headers } = await bench().ask('GET', path)
      const policy = headers.get('content-security-policy') ?? ''
      expect(policy).toContain("default-src 'none'")
      expect(policy).toContain("frame-ancestors 'none'")
      expect(policy).toContain("connect-src 'self' ws://localhost wss://localhost;")
      expect(policy).not.toContain('unsafe')
      expect(headers.get('x-content-type-options')).toBe('nosniff')
      expect(headers.get('referrer-policy')).toBe('no-referrer')
      expect(headers.get('x-frame-options')).toBe('DENY')
      expect(headers.get('access-control-allow-origin')).toBeNull()
    }
  })
})

describe('over a socket', () => {
  const service = bench()
  afterEach(() => service.web.close())

  /** Sends bytes and resolves to all that comes back until the service ends the connection. */
  function raw(port: number, text: string): Promise<string> {
    return new Promise((resolve, reject) => {
      let got = ''
      const socket = connect(port, '127.0.0.1', () => socket.write(text))
      socket.setEncoding('utf8')
      socket.on('data', chunk => (got += String(chunk)))
      socket.on('end', () => resolve(got))
      socket.on('error', reject)
    })
  }

  it('what is not HTTP gets a problem too, and the service goes on', async () => {
    const { port } = await service.web.listen('127.0.0.1', 0)
    const bad = [
      'nonsense\r\n\r\n',
      'GET / HTTP/1.1\r\nConnection: close\r\n\r\n',
      'GET / HTTP/1.1\r\nHost: a b\r\nConnection: close\r\n\r\n',
      `GET / HTTP/1.1\r\nHost: localhost\r\nX: ${'y'.repeat(20_000)}\r\n\r\n`,
    ]
    for (const text of bad) {
      const got = await raw(port, text)
      expect(got).toMatch(/^HTTP\/1\.1 4\d\d /)
      expect(got.toLowerCase()).toContain('content-type: application/problem+json')
      Problem.parse(JSON.parse(got.slice(got.indexOf('{'), got.lastIndexOf('}') + 1)))
    }
    expect((await fetch(`http://127.0.0.1:${port}/healthz`)).status).toBe(200)
  })
})
