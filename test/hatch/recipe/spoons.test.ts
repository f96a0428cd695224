import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  CYST_SPOON,
  gramsWord,
  measure,
  measureText,
  SALT_SPOON,
  SODA_SPOON,
  spoonsText,
  weighedSpoon,
} from '../../../broker/hatch/recipe/spoons.ts'

describe('kitchen measures', () => {
  it('say the spoons and what they may weigh', () => {
    // 15-18 g of granular salt to the tablespoon: common practice, no source.
    expect(measureText(measure(33, SALT_SPOON))).toBe('2 tablespoons (30–36 g)')
    expect(measureText(measure(25, SALT_SPOON))).toBe('1½ tablespoons (23–27 g)')
    expect(measureText(measure(1.5, CYST_SPOON))).toBe('½ teaspoon (1.3–1.8 g)')
  })

  it('leave no range for a spoon that was weighed', () =>
    expect(measureText(measure(33, weighedSpoon(SALT_SPOON, 16)))).toBe('2 tablespoons (32 g)'))

  it('turn to teaspoons when a tablespoon is too coarse', () => {
    // Three teaspoons are a tablespoon, by definition of the kitchen's measures.
    expect(measure(2.5, SALT_SPOON)).toMatchObject({ size: 'teaspoon', quarters: 2 })
    expect(measure(12.5, SALT_SPOON)).toMatchObject({ size: 'tablespoon', quarters: 3 })
  })

  it('send what is too little for a spoon to the scale', () => {
    // Half a litre takes 0.5 g of soda, and sets of spoons have an eighth.
    expect(measureText(measure(0.5, SODA_SPOON))).toBe('⅛ teaspoon (0.5–0.8 g)')
    expect(measure(0.1, SODA_SPOON)).toMatchObject({ quarters: 0, grams: 0 })
    expect(measureText(measure(0.1, SODA_SPOON))).toBe('less than ⅛ teaspoon')
  })

  it('agree with the grams as closely as a set of spoons can: half of its smallest spoon', () => {
    // 1.1 g of cysts are 0.37 of a teaspoon of 3 g: a quarter would be a third too little.
    expect(spoonsText(measure(1.1, CYST_SPOON))).toBe('¼ + ⅛ teaspoon')
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 30, noNaN: true }),
        fc.double({ min: 0.5, max: 30, noNaN: true }),
        (grams, spoonG) => {
          const found = measure(grams, weighedSpoon(CYST_SPOON, spoonG))
          const smallestG = found.quarters < 4 ? spoonG / 8 : spoonG / 4
          expect(Math.abs(found.grams - grams)).toBeLessThanOrEqual(smallestG / 2 + 1e-9)
          // From half a spoon on that is an eighth of the dose at most.
          if (grams >= spoonG / 2) expect(Math.abs(found.grams / grams - 1)).toBeLessThanOrEqual(0.125 + 1e-9)
        },
      ),
    )
  })

  it('are never further off than an eighth of a spoon', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 3000, noNaN: true }),
        fc.constantFrom(SALT_SPOON, CYST_SPOON, SODA_SPOON),
        (grams, spoon) => {
          const found = measure(grams, spoon)
          const oneG = found.size === spoon.size ? spoon.grams : spoon.grams / 3
          expect(Math.abs(found.grams - grams)).toBeLessThanOrEqual(oneG / 8 + 1e-9)
          expect(found.lowG).toBeLessThanOrEqual(found.grams)
          expect(found.highG).toBeGreaterThanOrEqual(found.grams)
        },
      ),
    )
  })

  it('are one spoon up to one, and spoons beyond', () => {
    const of = (quarters: number) => spoonsText({ size: 'teaspoon', quarters })
    expect([0.5, 1, 1.5, 2, 4, 5, 8].map(of)).toEqual([
      '⅛ teaspoon',
      '¼ teaspoon',
      '¼ + ⅛ teaspoon',
      '½ teaspoon',
      '1 teaspoon',
      '1¼ teaspoons',
      '2 teaspoons',
    ])
  })

  it('write grams as a scale does', () =>
    expect([0.75, 1, 9.94, 9.96, 26.4].map(gramsWord)).toEqual(['0.8', '1', '9.9', '10', '26']))
})
