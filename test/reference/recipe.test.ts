// The recipe against what handbooks and the trade say. Each number names its source; none comes from our own output.
import { describe, expect, it } from 'vitest'
import { BAKING_SODA_GPL } from '../../broker/hatch/recipe/buffer.ts'
import { mostCystsGpl } from '../../broker/hatch/recipe/cysts.ts'
import { deviationEffects, type Effect } from '../../broker/hatch/recipe/effects.ts'
import { recipe } from '../../broker/hatch/recipe/recipe.ts'
import { CYST_SPOON, measure, SALT_SPOON, SODA_SPOON } from '../../broker/hatch/recipe/spoons.ts'

describe('the usual recipe beside common practice', () => {
  it('fits 1 2/3 to 2 tablespoons of salt a litre into the plateau of 20 to 35 g/L', () => {
    // Common practice, no source: 1 2/3 to 2 tablespoons a litre, a tablespoon of granular salt is 15-18 g.
    expect(SALT_SPOON.lowG).toBe(15)
    expect(SALT_SPOON.highG).toBe(18)
    expect((5 / 3) * SALT_SPOON.lowG).toBeGreaterThanOrEqual(20)
    // Plateau: freshwater-prawn farming handbook after Lavens & Sorgeloos 1996, FAO 361. Two full tablespoons just pass it.
    expect((5 / 3) * SALT_SPOON.highG).toBeLessThanOrEqual(35)
    expect(2 * SALT_SPOON.grams).toBeLessThanOrEqual(35)
  })

  it('gives the trade’s quarter of a teaspoon of baking soda a litre', () => {
    // Common practice, no source; and up to 1 g/L, the handbook after Lavens & Sorgeloos 1996.
    expect(BAKING_SODA_GPL).toBeLessThanOrEqual(1)
    expect(measure(BAKING_SODA_GPL, SODA_SPOON)).toMatchObject({ size: 'teaspoon', quarters: 1 })
  })

  it('gives half a teaspoon to a teaspoon of cysts a litre', () => {
    // Common practice, no source.
    const { cysts } = recipe({ litres: 1 })
    expect(cysts.measure.quarters).toBeGreaterThanOrEqual(2)
    expect(cysts.measure.quarters).toBeLessThanOrEqual(4)
    expect(CYST_SPOON.size).toBe('teaspoon')
  })
})

it('cysts: up to 5 g/L below 20 L, otherwise 2 g/L', () => {
  // Freshwater-prawn farming handbook after Lavens & Sorgeloos 1996, FAO 361; New 2002, FAO 428, Annex 4.
  expect([0.5, 19.99, 20, 50].map(mostCystsGpl)).toEqual([5, 5, 2, 2])
})

describe('effects of what is off', () => {
  const at = (conditions: Partial<Parameters<typeof deviationEffects>[0]>): Effect[] =>
    deviationEffects({ litres: 1, salinityGpl: 25, cystsGpl: 2, ...conditions }).filter(
      ({ applies }) => applies,
    )

  it('gives the one published figure for salt: 67.0 to 33.0 % from 35 to 5 g/L', () => {
    // Suneetha, Padmavathi & Chatla, Acta Biologica Turcica; and no effect from 5 to 30 in another population: Eslava-Eljaiek et al. 2011.
    const [low, other] = at({ salinityGpl: 5 })
    expect(low).toMatchObject({ direction: 'fewer', from: 0.67, to: 0.33 })
    expect(low?.source).toMatch(/Suneetha/)
    expect(other).toMatchObject({ direction: 'none', from: null, to: null })
    expect(other?.source).toMatch(/Eslava-Eljaiek.*2011/)
  })

  it('lets nothing hatch above 85 to 90 g/L', () => {
    // Freshwater-prawn farming handbook after Lavens & Sorgeloos 1996.
    expect(at({ salinityGpl: 90 })).toMatchObject([{ id: 'salt-too-high', direction: 'dead', to: 0 }])
    expect(at({ salinityGpl: 84 })).toMatchObject([{ id: 'salt-high', direction: 'unknown' }])
  })

  it('has cool water delay and not diminish', () => {
    // New 2002, FAO 428, Annex 4: percentage unaffected from 4 to about 33 °C; interruption 33-40 °C; mortality above 40 °C.
    const directions = (waterC: number) =>
      at({ waterC })
        .filter(({ id }) => !id.startsWith('salt'))
        .map(({ direction }) => direction)
    expect(directions(20)).toEqual(['later'])
    expect(directions(27)).toEqual([])
    expect(directions(32)).toEqual(['unknown'])
    expect(directions(36)).toEqual(['paused'])
    expect(directions(41)).toEqual(['dead'])
  })

  it('invents no figure: but for salt and water that stops all, none has one', () => {
    const all = deviationEffects({ litres: 1, salinityGpl: 25, cystsGpl: 2 })
    expect(all.filter(({ from }) => from !== null).map(({ id }) => id)).toEqual(['salt-low'])
    expect(all.filter(({ to }) => to !== null).map(({ id }) => id)).toEqual(['salt-low', 'salt-too-high'])
    for (const { source, words, when } of all) {
      expect(source).not.toBe('')
      expect(words).toMatch(/\.$/)
      expect(when).not.toBe('')
    }
  })
})
