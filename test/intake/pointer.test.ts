import jsonpointer from 'jsonpointer'
import { describe, expect, it } from 'vitest'
import { isPointer, numberOf, numbersIn, valueAt } from '../../broker/intake/pointer.ts'

/** RFC 6901, Bryan, Zyp & Nottingham 2013, JavaScript Object Notation (JSON) Pointer, section 5. */
const DOCUMENT = {
  foo: ['bar', 'baz'],
  '': 0,
  'a/b': 1,
  'c%d': 2,
  'e^f': 3,
  'g|h': 4,
  'i\\j': 5,
  'k"l': 6,
  ' ': 7,
  'm~n': 8,
}
const EXAMPLES: readonly (readonly [string, unknown])[] = [
  ['', DOCUMENT],
  ['/foo', ['bar', 'baz']],
  ['/foo/0', 'bar'],
  ['/', 0],
  ['/a~1b', 1],
  ['/c%d', 2],
  ['/e^f', 3],
  ['/g|h', 4],
  ['/i\\j', 5],
  ['/k"l', 6],
  ['/ ', 7],
  ['/m~0n', 8],
]

describe('a JSON Pointer', () => {
  it.each(EXAMPLES)('%s, as the RFC has it', (pointer, value) => {
    expect(isPointer(pointer)).toBe(true)
    expect(valueAt(DOCUMENT, pointer)).toEqual(value)
    expect(jsonpointer.get(DOCUMENT, pointer)).toEqual(value)
  })

  it('finds only what the document holds', () => {
    const pointers = [
      '/foo/2',
      '/foo/-',
      '/foo/01',
      '/foo/length',
      '/constructor',
      '/nope/x',
      '/a~1b/x',
      '/toString',
    ]
    for (const pointer of pointers) expect(valueAt(DOCUMENT, pointer)).toBeUndefined()
    expect(valueAt(JSON.parse('{"__proto__": 1}'), '/__proto__')).toBe(1)
    expect(valueAt({ '~1': 9 }, '/~01')).toBe(9)
  })

  it('is written as section 3 says', () => {
    for (const wrong of ['a', 'a/b', '/~', '/~2', `/${'x'.repeat(300)}`]) expect(isPointer(wrong)).toBe(false)
  })

  it('of every number in a document leads back to it', () => {
    const numbers = numbersIn(DOCUMENT)
    expect(numbers.map(({ value }) => value)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8])
    for (const { pointer, value } of numbers) expect(valueAt(DOCUMENT, pointer)).toBe(value)
    const deep: unknown = JSON.parse('['.repeat(500) + '1' + ']'.repeat(500))
    expect(numbersIn(deep)).toEqual([])
    expect(numbersIn(Array.from({ length: 999 }, (_, at) => at))).toHaveLength(64)
  })

  it('takes numbers and texts that are numbers, and no others', () => {
    expect([' 21.5\n', '-3e2', '.5', 7, true].map(numberOf)).toEqual([21.5, -300, 0.5, 7, 1])
    for (const none of ['', 'x', '0x10', '1,5', 'NaN', '1e999', null, {}, Infinity, NaN, []])
      expect(numberOf(none)).toBeNull()
  })
})
