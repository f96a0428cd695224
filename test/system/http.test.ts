import { request } from 'node:http'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDir, removeDir, startProgram, type Program } from './program.ts'

/** What in-memory requests cannot show: bodies as they really come over a socket, with a length, in chunks, or not at all. */
describe('HTTP over a real socket', () => {
  const dir = freshDir()
  let program: Program
  beforeAll(async () => {
    program = await startProgram(dir)
  })
  afterAll(async () => {
    await program.stop()
    removeDir(dir)
  })

  /** Sends exactly these headers; chunked when there is a body and no length among them. */
  function raw(method: string, path: string, body?: string, headers: Record<string, string> = {}) {
    return new Promise<{ status: number; text: string }>((resolve, reject) => {
      const sent = request(`${program.http}${path}`, { method, headers }, response => {
        let text = ''
        response.on('data', (bytes: Buffer) => (text += bytes.toString()))
        response.on('end', () => resolve({ status: response.statusCode!, text }))
      })
      sent.on('error', reject)
      if (body === undefined) sent.end()
      else {
        sent.write(body.slice(0, 5))
        sent.end(body.slice(5))
      }
    })
  }
  it('sends the dashboard packed: over a weak radio that is a third of the wait', async () => {
    const page = await raw('GET', '/')
    const script = /src="(\/assets\/[^"]+\.js)"/.exec(page.text)![1]!
    const lengths = await Promise.all(
      ['identity', 'gzip', 'br'].map(async encoding => {
        const answer = await fetch(program.http + script, { headers: { 'accept-encoding': encoding } })
        expect(answer.headers.get('content-encoding') ?? 'identity').toBe(encoding)
        return Number(answer.headers.get('content-length'))
      }),
    )
    expect(lengths[1]).toBeLessThan(lengths[0]! * 0.4)
    expect(lengths[2]).toBeLessThan(lengths[1]!)
  })

  const json = { 'content-type': 'application/json' }
  const vessel = (name: string) => JSON.stringify({ name, litres: 1 })

  it('takes a body in chunks, and one with a length', async () => {
    expect((await raw('POST', '/api/v1/vessels', vessel('Cone 1'), json)).status).toBe(201)
    const body = vessel('Cone 2')
    const length = { ...json, 'content-length': String(Buffer.byteLength(body)) }
    expect((await raw('POST', '/api/v1/vessels', body, length)).status).toBe(201)
  })

  it('removes with no body, and with an empty one', async () => {
    const { body } = await program.api('GET', '/api/v1/vessels')
    const [one, two] = body.vessels as { id: string }[]
    expect((await raw('DELETE', `/api/v1/vessels/${one!.id}`)).status).toBe(204)
    expect(
      (await raw('DELETE', `/api/v1/vessels/${two!.id}`, undefined, { 'content-length': '0' })).status,
    ).toBe(204)
    expect((await program.api('GET', '/api/v1/vessels')).body.vessels).toEqual([])
    expect((await raw('DELETE', '/api/v1/session')).status).toBeLessThan(500)
  })

  it.each(['GET', 'POST', 'PUT', 'PATCH', 'DELETE'])(
    'answers %s without a body with a word, never a 5xx',
    async method => {
      for (const path of [
        '/api/v1/vessels',
        '/api/v1/vessels/none',
        '/api/v1/vessels/none/channels',
        '/api/v1/batches',
        '/api/v1/batches/none/end',
        '/api/v1/alarms/none/acknowledge',
        '/api/v1/settings',
        '/api/v1/session',
        '/api/v1/devices',
      ]) {
        const { status, text } = await raw(method, path)
        expect(status, `${method} ${path}: ${text}`).toBeLessThan(500)
      }
    },
  )

  it('refuses a body that is too large, declared or in chunks', async () => {
    const large = JSON.stringify({ name: 'x'.repeat(300_000), litres: 1 })
    expect((await raw('POST', '/api/v1/vessels', large, json)).status).toBe(413)
    const length = { ...json, 'content-length': String(large.length) }
    const declared = await raw('POST', '/api/v1/vessels', large, length).catch(() => ({ status: 413 }))
    expect(declared.status).toBe(413)
    expect((await program.api('GET', '/healthz')).status).toBe(200)
  })
})
