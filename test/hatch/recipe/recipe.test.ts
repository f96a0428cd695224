import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { RecipeError } from '../../../broker/hatch/recipe/errors.ts'
import { RECIPE_LIMITS } from '../../../broker/hatch/recipe/limits.ts'
import { recipe, type RecipeInput } from '../../../broker/hatch/recipe/recipe.ts'

const ids = (list: readonly { readonly id: string }[]) => list.map(({ id }) => id)

describe('the recipe', () => {
  it('needs the litres alone', () => {
    const usual = recipe({ litres: 2 })
    expect(usual).toMatchObject({ salinityGpl: 25, cystsGpl: 1.5, salt: { grams: 50 }, buffer: { grams: 2 } })
    expect(usual.cysts).toMatchObject({ grams: 3, mostGpl: 5, measure: { quarters: 4, size: 'teaspoon' } })
    expect(usual.warnings).toEqual([])
    expect(ids(usual.steps)).toEqual(['air', 'water', 'salt', 'buffer', 'warm', 'cysts', 'ring'])
    expect(ids(usual.cautions)).toEqual(['mains', 'air-first', 'lamp', 'dust'])
    expect(usual.effects.filter(({ applies }) => applies).map(({ id }) => id)).toEqual(['salt-plateau'])
  })

  it('tells in its steps what to weigh and to spoon', () => {
    const words = recipe({ litres: 1 })
      .steps.map(step => step.words)
      .join(' ')
    for (const amount of ['25 g or 1½ tablespoons', '1 g or ¼ teaspoon', '1.5 g or ½ teaspoon', '1 L mark'])
      expect(words).toContain(amount)
    expect(words.indexOf('air')).toBeLessThan(words.indexOf('Pour in'))
  })

  it('tells both temperatures wherever there is one', () => {
    const { steps, cautions, effects } = recipe({ litres: 1 })
    const all = [...steps, ...cautions, ...effects].map(({ words }) => words)
    for (const words of all.filter(text => /\d °C/.test(text))) {
      expect(words).toMatch(/°F/)
    }
  })

  it('goes by own spoons, and says what the spoon makes of the salinity', () => {
    const own = recipe({ litres: 1, saltSpoonG: 12.5, cystSpoonG: 1.5 })
    expect(own.salt.measure).toMatchObject({ quarters: 8, lowG: 25, highG: 25 })
    expect(own.salt.bySpoonGpl).toEqual({ low: 25, high: 25 })
    expect(own.cysts.measure.quarters).toBe(4)
    const usual = recipe({ litres: 1, saltPurity: 0.9 }).salt
    expect(usual.grams).toBeCloseTo(25 / 0.9, 9)
    expect(usual.bySpoonGpl?.low).toBeCloseTo(1.75 * 15 * 0.9, 9)
    expect(usual.bySpoonGpl?.high).toBeCloseTo(1.75 * 18 * 0.9, 9)
  })

  it('takes cysts by the spoon, own or usual, and by the gram before that', () => {
    expect(recipe({ litres: 2, cystSpoonsPerL: 0.5 }).cysts).toMatchObject({
      grams: 3,
      measure: { quarters: 4 },
    })
    expect(recipe({ litres: 2, cystSpoonsPerL: 1, cystSpoonG: 2 }).cystsGpl).toBe(2)
    expect(recipe({ litres: 2, cystSpoonsPerL: 1, cystsGpl: 1.2 }).cystsGpl).toBe(1.2)
  })

  it('leaves out salt and soda where none are wanted', () => {
    const fresh = recipe({ litres: 1, salinityGpl: 0, buffer: 'none' })
    expect(ids(fresh.steps)).toEqual(['air', 'water', 'warm', 'cysts', 'ring'])
    expect(fresh.buffer).toBeNull()
    expect(fresh.salt.bySpoonGpl).toBeNull()
    expect(fresh.waterL).toBeCloseTo(1, 9)
  })

  it.each<[string, RecipeInput, string[]]>([
    ['too many cysts in a small vessel', { litres: 1, cystsGpl: 5.1 }, ['too-many-cysts']],
    ['as many as it may have', { litres: 1, cystsGpl: 5 }, []],
    ['too many for a large one', { litres: 20, cystsGpl: 2.1 }, ['too-many-cysts']],
    ['salt that blocks the hatch', { litres: 1, salinityGpl: 85 }, ['salt-blocks-hatch']],
    ['salt past the best', { litres: 1, salinityGpl: 36 }, ['salt-above-best']],
    ['salt at the ends of the plateau', { litres: 1, salinityGpl: 35 }, []],
    ['salt below the plateau', { litres: 1, salinityGpl: 19 }, ['salt-below-plateau']],
    ['salt below the best', { litres: 1, salinityGpl: 4 }, ['salt-below-best']],
    ['water at the trade’s limit', { litres: 1, waterC: 29.4 }, ['water-too-hot']],
    ['cool water', { litres: 1, waterC: 24 }, ['water-cool']],
    ['magnesium sulphate', { litres: 1, buffer: 'magnesium-sulphate' }, ['magnesium-is-no-buffer']],
    ['no buffer', { litres: 1, buffer: 'none' }, ['no-buffer']],
    [
      'all at once',
      { litres: 30, cystsGpl: 4, salinityGpl: 2, waterC: 20, buffer: 'none' },
      ['salt-below-best', 'too-many-cysts', 'water-cool', 'no-buffer'],
    ],
  ])('warns of %s', (_, input, wanted) => expect(ids(recipe(input).warnings)).toEqual(wanted))

  it('says what hard and soft water mean for the soda', () => {
    expect(recipe({ litres: 1, waterKind: 'soft' }).bufferWords).toMatch(/Soft water/)
    expect(recipe({ litres: 1, waterKind: 'hard' }).bufferWords).toMatch(/No source gives a figure/)
    expect(recipe({ litres: 1, waterKind: 'hard', buffer: 'magnesium-sulphate' }).bufferWords).toMatch(
      /no buffer/,
    )
  })

  it('names the field that cannot be', () => {
    for (const [field, limits] of Object.entries(RECIPE_LIMITS))
      for (const bad of [NaN, Infinity, -1, limits.to * 1.01]) {
        const make = () => recipe({ litres: 1, [field]: bad })
        expect(make, `${field} ${bad}`).toThrow(RecipeError)
        expect(make).toThrow(`Cannot make recipe: ${field} must be `)
        expect(make).toThrow(`got ${bad}`)
      }
  })

  it('is made for whatever lies within the limits', () => {
    const number = (limits: { from?: number; above?: number; to: number }) =>
      fc.double({ min: limits.from ?? 1e-6, max: limits.to, noNaN: true })
    const input = fc.record(
      Object.fromEntries(
        Object.entries(RECIPE_LIMITS).map(([field, limits]) => [field, number(limits)]),
      ) as Record<keyof typeof RECIPE_LIMITS, fc.Arbitrary<number>>,
    )
    fc.assert(
      fc.property(input, asked => {
        const made = recipe(asked)
        for (const value of [
          made.salt.grams,
          made.waterL,
          made.cysts.grams,
          made.salt.intoMeasuredWaterG,
          made.densityKgM3,
        ]) {
          expect(Number.isFinite(value)).toBe(true)
          expect(value).toBeGreaterThanOrEqual(0)
        }
        expect(made.cystsGpl).toBe(asked.cystsGpl)
        expect(made.salt.grams * asked.saltPurity * (1 - asked.saltMoisture)).toBeCloseTo(
          asked.litres * asked.salinityGpl,
          6,
        )
        expect(made.steps.every(({ words }) => !/NaN|undefined/.test(words))).toBe(true)
      }),
    )
  })
})
