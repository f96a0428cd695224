import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  holds,
  MOST_RANGES,
  packRanges,
  type Ranges,
  unpackRanges,
  withValue,
} from '../../broker/store/ranges.ts'

const of = (values: Iterable<number>) => [...values].reduce<Ranges>(withValue, [])

describe('ranges', () => {
  it('hold exactly what was added, joined and apart, and come back from bytes', () => {
    const number = fc.oneof(
      fc.integer({ min: 0, max: 40 }),
      fc.integer({ min: 0, max: Number.MAX_SAFE_INTEGER }),
    )
    fc.assert(
      fc.property(fc.array(number, { maxLength: 60 }), values => {
        const ranges = of(values)
        const set = new Set(values)
        for (const value of [
          ...values,
          ...values.map(value => value + 1),
          ...values.map(value => value - 1),
        ]) {
          expect(holds(ranges, value)).toBe(set.has(value))
        }
        for (let i = 1; i < ranges.length; i++) expect(ranges[i]![0]).toBeGreaterThan(ranges[i - 1]![1] + 1)
        expect(unpackRanges(packRanges(ranges))).toEqual(ranges)
      }),
    )
  })

  it('leave the set they were made from as it was', () => {
    const before = of([1, 2, 5])
    withValue(before, 3)
    withValue(before, 4)
    expect(before).toEqual([
      [1, 2],
      [5, 5],
    ])
  })

  it('forget the lowest when there are too many gaps', () => {
    const ranges = of(Array.from({ length: MOST_RANGES + 1 }, (_, i) => 2 * i))
    expect(ranges.length).toBe(MOST_RANGES)
    expect(holds(ranges, 0)).toBe(false)
    expect(holds(ranges, 2)).toBe(true)
  })
})
