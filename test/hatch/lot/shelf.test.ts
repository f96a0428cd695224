import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { gramsLeft } from '../../../broker/hatch/lot/grams-left.ts'
import { nextLot } from '../../../broker/hatch/lot/next-lot.ts'
import { useBy } from '../../../broker/hatch/lot/use-by.ts'

const DAY_MS = 86_400_000

describe('what is left of a lot', () => {
  it('is what was bought less what all batches drew', () => {
    expect(
      gramsLeft(
        50,
        [],
        [
          { atMs: 1, cystsG: 1.5 },
          { atMs: 2, cystsG: 2 },
        ],
      ),
    ).toEqual({
      gramsLeft: 46.5,
      drawnG: 3.5,
      isOverdrawn: false,
    })
  })

  it('is what was weighed last less what batches drew after it, whatever was bought', () => {
    const weighings = [
      { atMs: 20, gramsLeft: 30 },
      { atMs: 10, gramsLeft: 40 },
    ]
    const batches = [5, 15, 20, 25].map(atMs => ({ atMs, cystsG: 2 }))
    expect(gramsLeft(100, weighings, batches).gramsLeft).toBe(28)
    expect(gramsLeft(null, weighings, batches).gramsLeft).toBe(28)
  })

  it('is not known where nobody said, and is never less than nothing', () => {
    expect(gramsLeft(null, [], [{ atMs: 1, cystsG: 2 }]).gramsLeft).toBeNull()
    fc.assert(
      fc.property(
        fc.double({ min: 0.1, max: 100, noNaN: true }),
        fc.array(fc.double({ min: 0.1, max: 20, noNaN: true }), { maxLength: 30 }),
        (bought, doses) => {
          const left = gramsLeft(
            bought,
            [],
            doses.map((cystsG, atMs) => ({ atMs, cystsG })),
          )
          const drawn = doses.reduce((sum, dose) => sum + dose, 0)
          expect(left.gramsLeft).toBeCloseTo(Math.max(0, bought - drawn), 9)
          if (drawn > bought + 0.01) expect(left.isOverdrawn).toBe(true)
          if (drawn < bought) expect(left.isOverdrawn).toBe(false)
        },
      ),
    )
  })
})

describe('until when a lot is used', () => {
  it('is 3 to 4 weeks after it was opened in the refrigerator (common practice, no source)', () => {
    const found = useBy({ openedOnMs: 0, keptIn: 'refrigerator', bestBeforeMs: null })
    expect(found).toEqual({ fromMs: 21 * DAY_MS, untilMs: 28 * DAY_MS, why: 'opened' })
  })

  it('is its date in the freezer, and whichever comes first elsewhere', () => {
    const bestBeforeMs = 10 * DAY_MS
    expect(useBy({ openedOnMs: 0, keptIn: 'freezer', bestBeforeMs })?.why).toBe('best-before')
    expect(useBy({ openedOnMs: 0, keptIn: 'freezer', bestBeforeMs: null })).toBeNull()
    expect(useBy({ openedOnMs: 0, keptIn: 'shelf', bestBeforeMs })?.why).toBe('best-before')
    expect(useBy({ openedOnMs: 0, keptIn: 'shelf', bestBeforeMs: 90 * DAY_MS })?.why).toBe('opened')
  })
})

describe('the lot to take next', () => {
  const lot = (name: string, over: object = {}) => ({
    name,
    gramsLeft: 20 as number | null,
    useByMs: null as number | null,
    openedOnMs: null as number | null,
    isPutAway: false,
    ...over,
  })

  it('stays the last one while it lasts', () => {
    expect(nextLot([lot('a', { useByMs: 1 }), lot('b')], 2, 'b')?.name).toBe('b')
    expect(nextLot([lot('a'), lot('b', { gramsLeft: 1 })], 2, 'b')?.name).toBe('a')
    expect(nextLot([lot('a'), lot('b', { isPutAway: true })], 2, 'b')?.name).toBe('a')
  })

  it('is an opened one before a closed one, and of those the one to be used first', () => {
    const shelf = [
      lot('closed', { useByMs: 1 }),
      lot('late', { openedOnMs: 5, useByMs: 90 }),
      lot('soon', { openedOnMs: 9, useByMs: 30 }),
    ]
    expect(nextLot(shelf, 2, null)?.name).toBe('soon')
  })

  it('is none where none holds the dose; what nobody weighed counts as enough', () => {
    expect(nextLot([lot('a', { gramsLeft: 1.9 })], 2, 'a')).toBeNull()
    expect(nextLot([lot('a', { gramsLeft: null })], 2, null)?.name).toBe('a')
    expect(nextLot([], 2, null)).toBeNull()
  })
})
