import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { spoonSet } from '../../../dashboard/recipe/spoon-picture.ts'

describe('measuring spoons', () => {
  it('are those of a set, the largest first', () => {
    const stamps = (quarters: number) => spoonSet(quarters).map(({ stamp }) => stamp)
    expect(stamps(7)).toEqual(['1', '½', '¼'])
    expect(stamps(8)).toEqual(['1', '1'])
    expect(stamps(0.5)).toEqual(['⅛'])
    expect(stamps(0)).toEqual([])
  })
  it('come to the amount, with no more of the small ones than needed', () => {
    fc.assert(
      fc.property(fc.nat(400), halves => {
        const quarters = halves / 2
        const set = spoonSet(quarters)
        expect(set.reduce((sum, spoon) => sum + spoon.quarters, 0)).toBe(quarters)
        expect(set.filter(spoon => spoon.quarters < 4).length).toBeLessThanOrEqual(3)
      }),
    )
  })
})
