import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { spread } from '../../../dashboard/compare/spread.ts'

describe('labels', () => {
  it('stay where they want to be when there is room', () => {
    expect(spread([], 15, 0, 100)).toEqual([])
    expect(spread([40], 15, 0, 100)).toEqual([40])
    expect(spread([10, 40, 90], 15, 0, 100)).toEqual([10, 40, 90])
  })
  it('share the way when they push each other', () => {
    expect(spread([50, 50], 16, 0, 100)).toEqual([42, 58])
    expect(spread([20, 50, 50, 53], 10, 0, 100)).toEqual([20, 41, 51, 61])
  })
  it('do not leave the picture, nor lie on one another at its edge', () => {
    expect(spread([99, 100, 100], 15, 0, 100)).toEqual([70, 85, 100])
    expect(spread([-3, 0], 15, 0, 100)).toEqual([0, 15])
    expect(spread([5, 5, 5], 15, 0, 20)).toEqual([0, 10, 20])
  })
  it('keep their order and their distance, whatever they want', () => {
    const places = fc.array(fc.double({ min: -50, max: 250, noNaN: true }), { maxLength: 13 })
    fc.assert(
      fc.property(places, unsorted => {
        const wanted = unsorted.toSorted((a, b) => a - b)
        const made = spread(wanted, 15, 0, 200)
        expect(made).toHaveLength(wanted.length)
        made.forEach((place, index) => {
          // Sums of many doubles lose their last bits.
          expect(place).toBeGreaterThanOrEqual(-1e-9)
          expect(place).toBeLessThanOrEqual(200 + 1e-9)
          if (index > 0) expect(place - made[index - 1]!).toBeGreaterThanOrEqual(15 - 1e-9)
        })
      }),
    )
  })
})
