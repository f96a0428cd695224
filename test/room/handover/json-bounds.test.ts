import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { beyondBounds, type JsonBounds } from '../../../broker/json-bounds.ts'

const bytes = (text: string) => new TextEncoder().encode(text)
const WIDE: JsonBounds = { depth: 1e9, containers: 1e9, keys: 1e9, names: 1e9, values: 1e9 }
const COUNTED = ['depth', 'containers', 'keys', 'values'] as const

/** The same figures by another way: from what was parsed. */
function counted(json: unknown, depth = 0): Omit<JsonBounds, 'names'> {
  if (typeof json !== 'object' || json === null) return { depth, containers: 0, keys: 0, values: 0 }
  const parts = Object.values(json).map(part => counted(part, depth + 1))
  const sum = (key: 'containers' | 'keys' | 'values') => parts.reduce((all, part) => all + part[key], 0)
  return {
    depth: Math.max(depth + 1, ...parts.map(part => part.depth)),
    containers: 1 + sum('containers'),
    keys: (Array.isArray(json) ? 0 : parts.length) + sum('keys'),
    values: Math.max(0, parts.length - 1) + sum('values'),
  }
}

describe('the bounds of a JSON text', () => {
  it('count what is there, whatever stands in its strings', () => {
    const stringUnit = fc.constantFrom('"', '\\', '[', '{', ',', ':', '}', 'é', '𝄞')
    fc.assert(
      fc.property(fc.json({ maxDepth: 6, stringUnit }), text => {
        const is = counted(JSON.parse(text))
        expect(beyondBounds(bytes(text), { ...is, names: is.keys })).toBeNull()
        for (const key of COUNTED)
          if (is[key] > 0)
            expect(beyondBounds(bytes(text), { ...WIDE, [key]: is[key] - 1 }), key).not.toBeNull()
      }),
    )
  })

  it.each([
    ['brackets in brackets', '['.repeat(100_000), 'nested deeper than 32'],
    ['objects without end', `[${'{},'.repeat(100_000)}`, 'made of more than 1000 lists and objects'],
    ['fields without end', `{${'"a":1,'.repeat(100_000)}`, 'made of more than 1000 fields'],
    ['numbers without end', `[${'0,'.repeat(100_000)}`, 'made of more than 1000 values'],
  ])('are passed by %s, and the text need not end for it', (_, text, words) => {
    const bounds = { depth: 32, containers: 1000, keys: 1000, names: 1000, values: 1000 }
    expect(beyondBounds(bytes(text), bounds)).toBe(words)
  })

  it('count a name once, however often it comes', () => {
    const many = `[${'{"a":1,"b":2,"a\\"":3},'.repeat(1000)}{}]`
    expect(beyondBounds(bytes(many), { ...WIDE, names: 3 })).toBeNull()
    expect(beyondBounds(bytes(many), { ...WIDE, names: 2 })).toBe('made of fields of more than 2 names')
    const other = `{${Array.from({ length: 20_000 }, (_, i) => `"k${i}":1`).join()}}`
    expect(beyondBounds(bytes(other), { ...WIDE, names: 19_000 })).toMatch(/names$/)
    expect(beyondBounds(bytes(other), { ...WIDE, names: 20_000 })).toBeNull()
  })

  it('are not passed by a string that does not end, and say nothing of whether it is JSON', () => {
    for (const text of ['', '"', '"\\', '"\\"', ']]]]', `"${'['.repeat(1000)}`])
      expect(
        beyondBounds(bytes(text), { depth: 0, containers: 0, keys: 0, names: 0, values: 0 }),
        text,
      ).toBeNull()
  })
})
