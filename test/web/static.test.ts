import { mkdtempSync, mkdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gunzipSync, gzipSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { bench, refusal } from './harness.ts'

let outside = ''
let dir = ''
const OUTSIDE = 'not for the web'
const SCRIPT = 'console.log("cone")'

beforeAll(() => {
  outside = mkdtempSync(join(tmpdir(), 'brinewatch-static-'))
  dir = join(outside, 'dashboard')
  mkdirSync(join(dir, 'assets'), { recursive: true })
  writeFileSync(join(outside, 'secret.txt'), OUTSIDE)
  writeFileSync(join(dir, 'index.html'), '<!doctype html><title>room</title>')
  writeFileSync(join(dir, 'cone.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>')
  writeFileSync(join(dir, 'assets', 'main-B7xk_9Qz.js'), SCRIPT)
  writeFileSync(join(dir, 'assets', 'main-B7xk_9Qz.js.gz'), gzipSync(SCRIPT))
})
afterAll(() => rmSync(outside, { recursive: true }))

const get = (path: string, headers: Record<string, string> = {}) =>
  bench({ dashboardDir: dir }).ask('GET', path, undefined, { headers })

describe("the dashboard's files", () => {
  it.each(['/', '/index.html', '/vessel/v1', '/vessel/v1/curves'])(
    '%s is the page, asked for anew each time',
    async path => {
      const response = await get(path)
      expect(response.status).toBe(200)
      expect(await response.text()).toContain('<title>room</title>')
      expect(response.headers.get('content-type')).toMatch(/^text\/html/)
      expect(response.headers.get('cache-control')).toBe('no-cache')
    },
  )

  it('with a hash in the name are kept for a year', async () => {
    const response = await get('/assets/main-B7xk_9Qz.js')
    expect(await response.text()).toBe(SCRIPT)
    expect(response.headers.get('content-type')).toMatch(/^text\/javascript/)
    expect(response.headers.get('cache-control')).toBe('public, max-age=31536000, immutable')
    expect((await get('/cone.svg')).headers.get('cache-control')).toBe('no-cache')
  })

  it('are sent packed to those who can unpack', async () => {
    const response = await get('/assets/main-B7xk_9Qz.js', { 'accept-encoding': 'gzip, br' })
    expect(response.headers.get('content-encoding')).toBe('gzip')
    expect(response.headers.get('vary')).toContain('Accept-Encoding')
    expect(gunzipSync(new Uint8Array(await response.arrayBuffer())).toString()).toBe(SCRIPT)
  })

  it.each(['/missing.js', '/assets/missing-B7xk_9Qz.js', '/favicon.ico'])(
    '%s is 404, not the page',
    async path => {
      await refusal(await get(path), 404)
    },
  )

  it.each([
    '/../secret.txt',
    '/..%2fsecret.txt',
    '/%2e%2e/secret.txt',
    '/assets/..%5c..%5csecret.txt',
    '/assets//../../secret.txt',
    '/%00',
  ])('%s does not lead out of the folder', async path => {
    const response = await get(path)
    expect(await response.text()).not.toContain(OUTSIDE)
    expect(response.status).toBeLessThan(500)
  })

  it('cannot be written', async () => {
    const { ask } = bench({ dashboardDir: dir })
    for (const method of ['POST', 'PUT', 'DELETE']) expect((await ask(method, '/')).status).toBe(404)
  })
})

describe('without a built dashboard', () => {
  it('a page says what to do', async () => {
    const response = await bench().ask('GET', '/vessel/v1')
    expect(response.status).toBe(503)
    expect(await response.text()).toContain('npm run build')
  })

  it('and the dashboard is served as soon as it is there', async () => {
    const late = join(outside, 'late')
    const { ask } = bench({ dashboardDir: late })
    expect((await ask('GET', '/')).status).toBe(503)
    mkdirSync(late)
    writeFileSync(join(late, 'index.html'), 'now')
    expect(await (await ask('GET', '/')).text()).toBe('now')
  })
})
