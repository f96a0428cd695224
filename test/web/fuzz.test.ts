import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Problem } from '../../broker/web/api/schemas.ts'
import { seeded, share } from '../fuzz/inputs.ts'
import { likely, type JsonSchema, type Resolve } from './from-schema.ts'
import { bench } from './harness.ts'

interface Operation {
  readonly parameters?: readonly { name: string; in: string; schema: JsonSchema }[]
  readonly requestBody?: { content: Record<string, { schema: JsonSchema }> }
  readonly responses: Record<string, unknown>
}
interface Description {
  readonly paths: Record<string, Record<string, Operation>>
  readonly components: { schemas: Record<string, JsonSchema> }
}

const description = (await (await bench().ask('GET', '/api/v1/openapi.json')).json()) as Description
const resolve: Resolve = ref => description.components.schemas[ref.split('/').at(-1) ?? ''] ?? {}
const operations = Object.entries(description.paths).flatMap(([path, item]) =>
  Object.entries(item).map(([method, operation]) => ({ method: method.toUpperCase(), path, operation })),
)

const asText = (value: unknown): string => (typeof value === 'string' ? value : JSON.stringify(value))

/** A request's address: what stands in the path and in the query fits its schema most of the time. */
function address(path: string, { parameters = [] }: Operation): fc.Arbitrary<string> {
  const inPath = parameters.filter(each => each.in === 'path')
  const inQuery = parameters.filter(each => each.in === 'query')
  const value = (schema: JsonSchema) => likely(schema, resolve).map(asText)
  const spots = fc.tuple(...inPath.map(each => value(each.schema)))
  const query = fc.record(Object.fromEntries(inQuery.map(each => [each.name, value(each.schema)])), {
    requiredKeys: [],
  })
  return fc.tuple(spots, query).map(([spot, asked]) => {
    const filled = inPath.reduce(
      (url, { name }, at) => url.replace(`{${name}}`, () => encode(spot[at] ?? '')),
      path,
    )
    const pairs = Object.entries(asked).map(([name, text]) => `${name}=${encode(text ?? '')}`)
    return pairs.length > 0 ? `${filled}?${pairs.join('&')}` : filled
  })
}

/** As a browser does: a dot segment would change the path, and a lone surrogate cannot be encoded. */
const encode = (text: string): string =>
  encodeURIComponent(text.replace(/\p{Surrogate}/gu, '?')).replace(/^\.*$/, 'dots')

/** A body that fits its schema most of the time; else any JSON, or no JSON at all. */
function body({ requestBody }: Operation): fc.Arbitrary<string | undefined> {
  const schema = requestBody?.content['application/json']?.schema
  const rubbish = fc.oneof(
    fc.string({ unit: 'binary' }),
    fc.json(),
    fc.constantFrom('{', '[[[[', '{"__proto__":{"a":1}}'),
  )
  if (!schema) return fc.constant(undefined)
  return fc.oneof(
    { weight: 8, arbitrary: likely(schema, resolve).map(value => JSON.stringify(value)) },
    { weight: 1, arbitrary: rubbish },
    { weight: 1, arbitrary: fc.constant(undefined) },
  )
}

/** Two parts of ten of a long run, shared among the operations. */
const NUM_RUNS = Math.max(80, Math.ceil((share(0) * 2) / operations.length))

describe('whatever is sent', () => {
  it.each(operations)('to $method $path is answered as described, and never by a failure', async each => {
    const { method, path, operation } = each
    const described = Object.keys(operation.responses).filter(status => status < '500')
    const { ask, logged } = bench()
    const seen = new Set<number>()
    // An open batch would bar the way to a new one, and to a vessel's retirement.
    if (method === 'DELETE' || path === '/api/v1/batches') await ask('POST', '/api/v1/batches/b1/end')
    await fc.assert(
      fc.asyncProperty(address(path, operation), body(operation), async (url, json) => {
        const response = await ask(method, url, json)
        const text = await response.text()
        seen.add(response.status)
        expect(described, text).toContain(String(response.status))
        if (response.status >= 400) {
          expect(response.headers.get('content-type')).toBe('application/problem+json')
          const problem = Problem.strict().parse(JSON.parse(text))
          expect(problem.status).toBe(response.status)
          if (response.status === 422) expect(problem.errors?.length).toBeGreaterThan(0)
        }
      }),
      { numRuns: NUM_RUNS, ...seeded },
    )
    // A guess at a code is worth a warning; a failure is an error, level 50 (pino's levels).
    expect(logged.filter(line => (JSON.parse(line) as { level: number }).level >= 50)).toEqual([])
    // What cannot go wrong has nothing to be refused for; all else must have been refused at least once.
    if (operation.parameters || operation.requestBody) expect(Math.max(...seen)).toBeGreaterThanOrEqual(400)
  })
})
