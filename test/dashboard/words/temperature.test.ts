import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  differenceText,
  digitsBeside,
  temperatureText,
  toC,
  toF,
  ownUnitFirst,
} from '../../../dashboard/words/temperature.ts'

describe('temperatures', () => {
  it('are written in both units, the chosen one first', () => {
    // 29.4 °C is the trade's 85 °F: common practice, no source.
    expect(temperatureText(29.4, 'C')).toBe('29.4 °C (84.9 °F)')
    expect(temperatureText(29.4, 'F')).toBe('84.9 °F (29.4 °C)')
  })
  it('have a true minus sign and no minus zero', () => {
    expect(temperatureText(-10.125, 'C')).toContain('−10.1 °C')
    expect(temperatureText(-0.01, 'C')).toContain('0.0 °C')
    expect(temperatureText(-0.01, 'C')).not.toContain('−0.0')
  })
  it('have one more digit where one would look like the limit that it is not', () => {
    // 29.375 °C is a step of a DS18B20, 1/16 °C (Maxim DS18B20 data sheet, table 1).
    expect(digitsBeside(29.375, 29.4)).toBe(2)
    expect(temperatureText(29.375, 'C', digitsBeside(29.375, 29.4))).toMatch(/^29\.38 °C/)
    expect(digitsBeside(29.4, 29.4)).toBe(1)
    expect(digitsBeside(29.3, 29.4)).toBe(1)
    expect(digitsBeside(null, 29.4)).toBe(1)
  })
  it('meet at the fixed points of the scales', () => {
    expect(toF(0)).toBe(32)
    expect(toF(100)).toBe(212)
    expect(toF(-40)).toBe(-40)
  })
  it('come back from the other unit', () => {
    fc.assert(
      fc.property(fc.double({ min: -60, max: 130, noNaN: true }), celsius => {
        expect(toC(toF(celsius))).toBeCloseTo(celsius, 9)
      }),
    )
  })
  it('differ without the 32 of the scale', () => {
    expect(differenceText(0.5, 'C')).toBe('0.5 °C (0.9 °F)')
    expect(differenceText(0.5, 'F')).toBe('0.9 °F (0.5 °C)')
  })
})

it('puts the own unit first in words that have both', () => {
  const step = 'Pour in water of about 27 °C (80 °F). Wait for 26.7 to 27.8 °C (80 to 82 °F).'
  expect(ownUnitFirst(step, 'C')).toBe(step)
  expect(ownUnitFirst(step, 'F')).toBe(
    'Pour in water of about 80 °F (27 °C). Wait for 80 to 82 °F (26.7 to 27.8 °C).',
  )
})
