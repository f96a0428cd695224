import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { RecipeError } from '../../../broker/hatch/recipe/errors.ts'
import { gpkgToGpl, gplToGpkg } from '../../../broker/hatch/recipe/salinity.ts'
import {
  saltForBrine,
  saltForWater,
  saltToRaise,
  topUp,
  waterToLower,
} from '../../../broker/hatch/recipe/salt.ts'
import { brineDensity, waterDensity } from '../../../broker/hatch/recipe/seawater.ts'

const litres = fc.double({ min: 0.1, max: 100, noNaN: true })
const gpl = fc.double({ min: 0.5, max: 90, noNaN: true })
const waterC = fc.double({ min: 0, max: 40, noNaN: true })
const product = fc.record({
  purity: fc.double({ min: 0.6, max: 1, noNaN: true }),
  moisture: fc.double({ min: 0, max: 0.2, noNaN: true }),
})
/** Mass of salt in some litres of brine, by weighing: grams. */
const saltIn = (l: number, salinityGpl: number) => l * salinityGpl

describe('salinity', () => {
  it('goes from g/L to g/kg and back', () => {
    fc.assert(
      fc.property(gpl, waterC, (value, t) => {
        expect(gpkgToGpl(gplToGpkg(value, t), t)).toBeCloseTo(value, 9)
      }),
    )
    expect(gplToGpkg(0, 25)).toBe(0)
  })
})

describe('salt', () => {
  it('for a litre of brine is litres × g/L of salt, and the masses of salt and water add up to the brine', () => {
    fc.assert(
      fc.property(litres, gpl, waterC, product, (l, s, t, salt) => {
        const { saltG, waterL } = saltForBrine({ litres: l, salinityGpl: s, waterC: t }, salt)
        expect(saltG * salt.purity * (1 - salt.moisture)).toBeCloseTo(saltIn(l, s), 6)
        const mass = saltG + waterL * waterDensity(t)
        expect(mass / (l * brineDensity(gplToGpkg(s, t), t))).toBeCloseTo(1, 9)
      }),
    )
  })

  it('25 g/L in 2 L are 50 g of pure and 53.8 g of damp salt', () => {
    const brine = { litres: 2, salinityGpl: 25, waterC: 25 }
    expect(saltForBrine(brine).saltG).toBe(50)
    expect(saltForBrine(brine, { purity: 0.98, moisture: 0.05 }).saltG).toBeCloseTo(50 / 0.931, 9)
  })

  it('takes a little more when the litre is of water, because the brine becomes more than a litre', () => {
    const brine = { litres: 1, salinityGpl: 25, waterC: 25 }
    const grams = saltForWater(brine)
    expect(grams).toBeGreaterThan(25)
    expect(grams).toBeLessThan(25.5)
    // The brine that comes of it has the salinity, by mass.
    expect((grams / (grams + waterDensity(25))) * 1000).toBeCloseTo(gplToGpkg(25, 25), 9)
  })

  it('raises and lowers standing brine, and both undo each other', () => {
    fc.assert(
      fc.property(litres, gpl, gpl, waterC, product, (l, a, b, t, salt) => {
        const [low, high] = a < b ? [a, b] : [b, a]
        const brine = { litres: l, salinityGpl: low, waterC: t }
        const added = saltToRaise(brine, high, salt)
        const mass = l * brineDensity(gplToGpkg(low, t), t)
        const share = (saltIn(l, low) + added * salt.purity * (1 - salt.moisture)) / (mass + added)
        expect(share * 1000).toBeCloseTo(gplToGpkg(high, t), 6)

        const waterL = waterToLower({ litres: l, salinityGpl: high, waterC: t }, low)
        const strong = l * brineDensity(gplToGpkg(high, t), t)
        const after = saltIn(l, high) / (strong + waterL * waterDensity(t))
        expect(after * 1000).toBeCloseTo(gplToGpkg(low, t), 6)
      }),
    )
  })

  it('stays behind when water evaporates', () => {
    const { salinityGpl, waterL } = topUp({ litres: 2, salinityGpl: 25, waterC: 27 }, 1.6)
    expect(salinityGpl).toBeCloseTo(31.25, 9)
    // Nearly the litres that are missing: brine is a little smaller than its water and salt.
    expect(Math.abs(waterL - 0.4)).toBeLessThan(0.002)
    expect(topUp({ litres: 2, salinityGpl: 25, waterC: 27 }, 2)).toEqual({ salinityGpl: 25, waterL: 0 })
  })

  it('refuses what cannot be, and says what can', () => {
    const brine = { litres: 1, salinityGpl: 25, waterC: 25 }
    for (const bad of [NaN, Infinity, -1, 0, 101]) {
      expect(() => saltForBrine({ ...brine, litres: bad })).toThrow(RecipeError)
      expect(() => saltForWater({ ...brine, litres: bad })).toThrow(
        `Cannot weigh salt: litres must be more than 0 and at most 100, got ${bad}`,
      )
    }
    expect(() => saltToRaise(brine, 20)).toThrow(/toGpl must be from 25 to 120, got 20/)
    expect(() => waterToLower(brine, 30)).toThrow(/toGpl must be more than 0 and at most 25, got 30/)
    expect(() => saltForBrine(brine, { purity: 1.01, moisture: 0 })).toThrow(/saltPurity/)
    expect(() => saltForBrine(brine, { purity: 1, moisture: 0.5 })).toThrow(/saltMoisture/)
    expect(() => topUp(brine, 1.1)).toThrow(/nowLitres/)
    expect(() => topUp(brine, 0.1)).toThrow(/nowLitres must be from 0\.208/)
    try {
      saltForBrine({ ...brine, salinityGpl: 121 })
    } catch (error) {
      expect(error).toMatchObject({ name: 'RecipeError', field: 'salinityGpl', limits: { from: 0, to: 120 } })
    }
  })

  it('lowering fresh water is no work', () =>
    expect(waterToLower({ litres: 1, salinityGpl: 0, waterC: 25 }, 5)).toBe(0))
})
