import { brotliDecompressSync, gunzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { PACKED_PATHS } from '../../broker/web/packed.ts'
import { bench } from './harness.ts'

const LONG = '/api/v1/openapi.json'
const SHORT = '/api/v1/batches'
const bytesOf = async (response: Response) => Buffer.from(await response.arrayBuffer())
const asking = (coding: string) => ({ headers: { 'Accept-Encoding': coding } })

describe('a long answer', () => {
  it.each([
    ['br', brotliDecompressSync, 'gzip, deflate, br'],
    ['gzip', gunzipSync, 'gzip, deflate'],
    ['gzip', gunzipSync, 'br;q=0, gzip;q=0.5'],
    ['br', brotliDecompressSync, 'BR'],
  ])('is packed by %s', async (coding, unpack, accepted) => {
    const { ask } = bench()
    const plain = await bytesOf(await ask('GET', LONG))
    const given = await ask('GET', LONG, undefined, asking(accepted))
    expect(given.headers.get('content-encoding')).toBe(coding)
    expect(given.headers.get('vary')).toBe('Accept-Encoding')
    expect(given.headers.get('cache-control')).toBe('no-store')
    expect(given.headers.get('content-type')).toMatch(/^application\/json/)
    const packed = await bytesOf(given)
    expect(packed.byteLength).toBeLessThan(plain.byteLength / 3)
    expect(unpack(packed).equals(plain)).toBe(true)
  })

  // RFC 9110, section 12.5.3: whoever names no coding, or turns ours down, gets it as it is.
  it.each(['', 'identity', 'zstd', 'gzip;q=0, br;q=0'])('is left as it is for %j', async accepted => {
    const given = await bench().ask('GET', LONG, undefined, asking(accepted))
    expect(given.headers.get('content-encoding')).toBeNull()
    expect(JSON.parse((await bytesOf(given)).toString())).toMatchObject({ openapi: '3.1.0' })
  })
})

it('leaves short answers and refusals as they are', async () => {
  const { ask } = bench()
  for (const path of [SHORT, '/api/v1/batches/gone/replay']) {
    const given = await ask('GET', path, undefined, asking('gzip, br'))
    expect(given.headers.get('content-encoding')).toBeNull()
    expect(JSON.parse((await bytesOf(given)).toString())).toBeTypeOf('object')
  }
})

it('packs no answer that holds a secret, and none but those that are named', async () => {
  const { ask } = bench()
  const document = (await (await ask('GET', LONG)).json()) as Record<string, any>
  const SECRET = /password|token|secret|code|\burl\b|link|address|key|session|csrf/i
  for (const path of PACKED_PATHS.filter(path => path !== '/openapi.json')) {
    const operation = document.paths[`/api/v1${path.replace(/:(\w+)/g, '{$1}')}`].get
    const names = namesIn(operation.responses['200'].content['application/json'].schema, document)
    expect(names.length, path).toBeGreaterThan(3)
    expect(
      names.filter(name => SECRET.test(name)),
      path,
    ).toEqual([])
  }
  const given = await ask('GET', '/api/v1/tokens', undefined, asking('gzip, br'))
  expect(given.headers.get('content-encoding')).toBeNull()
})

/** Every name of a field in a schema, through its references. */
function namesIn(schema: unknown, document: Record<string, any>, seen = new Set<unknown>()): string[] {
  if (schema === null || typeof schema !== 'object' || seen.has(schema)) return []
  seen.add(schema)
  const { $ref, properties, ...rest } = schema as Record<string, unknown>
  const referred =
    typeof $ref === 'string'
      ? $ref
          .slice(2)
          .split('/')
          .reduce((at, part) => at[part], document)
      : null
  return [
    ...Object.keys((properties as object | undefined) ?? {}),
    ...[referred, ...Object.values(properties ?? {}), ...Object.values(rest)].flatMap(each =>
      namesIn(each, document, seen),
    ),
  ]
}
