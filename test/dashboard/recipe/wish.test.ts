import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { RECIPE_LIMITS } from '../../../broker/hatch/recipe/limits.ts'
import { readWish, stepped, type WishText } from '../../../dashboard/recipe/wish.ts'

const usual: WishText = {
  litres: '1',
  salinityGpl: '25',
  cystsGpl: '1.5',
  saltSpoonG: '',
  cystSpoonG: '',
  sodaSpoonG: '',
  purity: '',
  moisture: '',
  buffer: 'baking-soda',
  waterKind: 'unknown',
}

describe('what is wished for', () => {
  it('is read with a comma or a point, and may leave the kitchen empty', () => {
    const { input, wrong } = readWish({ ...usual, litres: ' 1,5 ' })
    expect(wrong.size).toBe(0)
    expect(input).toEqual({
      litres: 1.5,
      salinityGpl: 25,
      cystsGpl: 1.5,
      buffer: 'baking-soda',
      waterKind: 'unknown',
    })
  })

  it('takes shares in per cent', () => {
    const { input } = readWish({ ...usual, purity: '98', moisture: '2.5', saltSpoonG: '16' })
    expect(input?.saltPurity).toBeCloseTo(0.98, 12)
    expect(input?.saltMoisture).toBeCloseTo(0.025, 12)
    expect(input?.saltSpoonG).toBe(16)
  })

  it('names what is wrong with its limits, in the unit that is typed', () => {
    const { input, wrong } = readWish({ ...usual, litres: '0', cystsGpl: 'two', purity: '40' })
    expect(input).toBeNull()
    expect(wrong.get('litres')).toBe('Write a number more than 0 and at most 100.')
    expect(wrong.get('cystsGpl')).toMatch(/^Write a number/)
    expect(wrong.get('purity')).toBe('Write a number from 50 to 100.')
    expect([...wrong.keys()].sort()).toEqual(['cystsGpl', 'litres', 'purity'])
  })

  it('goes on with the usual spoon while an own one is wrong', () => {
    const { input, wrong } = readWish({ ...usual, saltSpoonG: '500' })
    expect(wrong.has('saltSpoonG')).toBe(true)
    expect(input).toMatchObject({ litres: 1 })
    expect(input).not.toHaveProperty('saltSpoonG')
  })
})

describe('a stepper', () => {
  it('goes in steps that fit the size, over round numbers', () => {
    const up = (text: string) => stepped(text, 1, 'litres')
    const down = (text: string) => stepped(text, -1, 'litres')
    expect(['0.3', '0.9', '1', '1.2', '4.5', '5', '7.3'].map(up)).toEqual([
      '0.4',
      '1',
      '1.5',
      '1.5',
      '5',
      '6',
      '8',
    ])
    expect(['8', '6', '5', '1.5', '1.2', '1', '0.4'].map(down)).toEqual([
      '7',
      '5',
      '4.5',
      '1',
      '1',
      '0.9',
      '0.3',
    ])
    expect(stepped('25', 1, 'salinityGpl')).toBe('26')
    expect(stepped('1,5', -1, 'cystsGpl')).toBe('1')
    expect(stepped('nonsense', 1, 'salinityGpl')).toBe('1')
  })

  it('stays within the limits, and always goes the way it was asked to', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('litres' as const, 'salinityGpl' as const, 'cystsGpl' as const),
        fc.constantFrom(1 as const, -1 as const),
        fc.double({ min: 0.6, max: 40, noNaN: true }).map(value => value.toFixed(2)),
        (field, direction, typed) => {
          const next = Number(stepped(typed, direction, field))
          expect(next).toBeLessThanOrEqual(RECIPE_LIMITS[field].to)
          expect((next - Number(typed)) * direction).toBeGreaterThan(0)
        },
      ),
    )
    expect(stepped('100', 1, 'litres')).toBe('100')
    expect(stepped('0.1', -1, 'litres')).toBe('0.1')
    expect(stepped('0', -1, 'salinityGpl')).toBe('0')
    expect(stepped('0.5', -1, 'cystsGpl')).toBe('0.5')
  })
})
