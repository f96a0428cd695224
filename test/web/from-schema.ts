import fc from 'fast-check'

/** The part of JSON Schema that the API's description uses. */
export interface JsonSchema {
  readonly $ref?: string
  readonly type?: string | readonly string[]
  readonly enum?: readonly unknown[]
  readonly anyOf?: readonly JsonSchema[]
  readonly properties?: Readonly<Record<string, JsonSchema>>
  readonly required?: readonly string[]
  readonly items?: JsonSchema
  readonly minimum?: number
  readonly maximum?: number
  readonly exclusiveMinimum?: number
  readonly format?: string
  readonly example?: unknown
}
export type Resolve = (ref: string) => JsonSchema

const ODD_STRINGS = [
  '',
  ' ',
  '\u0000',
  '\ud800',
  '../../etc',
  '🦐',
  'null',
  'NaN',
  '1e999',
  '__proto__',
  'x'.repeat(3000),
]
const ODD_NUMBERS = [0, -0, -1, 0.5, 1e-300, 1e300, 2 ** 53, -(2 ** 53), 1e15]
const anyJson = fc.oneof(
  fc.jsonValue({ maxDepth: 3 }),
  fc.constantFrom<unknown>(...ODD_STRINGS, ...ODD_NUMBERS, null),
)

/** Values that mostly fit the schema, with parts that do not. */
export function likely(schema: JsonSchema, resolve: Resolve): fc.Arbitrary<unknown> {
  return fc.oneof({ weight: 12, arbitrary: fitting(schema, resolve) }, { weight: 1, arbitrary: anyJson })
}

function fitting(schema: JsonSchema, resolve: Resolve): fc.Arbitrary<unknown> {
  if (schema.$ref !== undefined) return likely(resolve(schema.$ref), resolve)
  if (schema.enum) return fc.constantFrom(...schema.enum)
  if (schema.anyOf) return fc.oneof(...schema.anyOf.map(each => likely(each, resolve)))
  const types = typeof schema.type === 'string' ? [schema.type] : (schema.type ?? [])
  return types.length === 0 ? anyJson : fc.oneof(...types.map(type => ofType(type, schema, resolve)))
}

function ofType(type: string, schema: JsonSchema, resolve: Resolve): fc.Arbitrary<unknown> {
  const min = schema.minimum ?? schema.exclusiveMinimum ?? -1e6
  const max = schema.maximum ?? 1e6
  switch (type) {
    case 'null':
      return fc.constant(null)
    case 'boolean':
      return fc.boolean()
    case 'integer':
      return fc.integer({ min: Math.ceil(Math.max(min, -1e9)), max: Math.floor(Math.min(max, 1e9)) })
    case 'number':
      return fc.double({ min, max, noNaN: true })
    case 'array':
      return fc.array(likely(schema.items ?? {}, resolve), { maxLength: 4 })
    case 'object': {
      const fields = Object.entries(schema.properties ?? {}).map(([name, each]) => [
        name,
        likely(each, resolve),
      ])
      return fc.record(Object.fromEntries(fields) as Record<string, fc.Arbitrary<unknown>>, {
        requiredKeys: [...(schema.required ?? [])],
      })
    }
    default:
      return text(schema)
  }
}

function text(schema: JsonSchema): fc.Arbitrary<unknown> {
  const odd = fc.oneof(fc.string({ unit: 'binary', maxLength: 100 }), fc.constantFrom(...ODD_STRINGS))
  const fits =
    schema.format === 'date-time'
      ? fc
          .date({ min: new Date(0), max: new Date('9999-12-31'), noInvalidDate: true })
          .map(date => date.toISOString())
      : schema.example !== undefined
        ? fc.constant(schema.example)
        : fc.constantFrom('v1', 'b1', 'alarm-1', 'bench-1')
  return fc.oneof({ weight: 4, arbitrary: fits }, { weight: 1, arbitrary: odd })
}
