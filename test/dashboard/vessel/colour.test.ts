import { expect, it } from 'vitest'
import { COLD, css, HOT, RIGHT, UNKNOWN, waterColour } from '../../../dashboard/vessel/colour.ts'

const limits = { coolC: 24, hotC: 29.4 }

it('water is coloured by its limits, and never says other than its word', () => {
  expect(waterColour(22, 'cold', limits)).toEqual(COLD)
  expect(waterColour(27, 'right', limits)).toEqual(RIGHT)
  expect(waterColour(30, 'hot', limits)).toEqual(HOT)
  expect(waterColour(null, 'none', limits)).toEqual(UNKNOWN)
  expect(waterColour(27, 'fault', limits)).toEqual(UNKNOWN)
})
it('is plainly other than right as soon as its word is, and turns further towards the limit', () => {
  expect(waterColour(28, 'right', limits)).toEqual(RIGHT)
  const warm = waterColour(28.1, 'warm', limits)
  const warmer = waterColour(29.3, 'warm', limits)
  expect(warm[0] - RIGHT[0]).toBeGreaterThan(60)
  expect(warmer[0]).toBeGreaterThan(warm[0])
  expect(warmer).not.toEqual(HOT)
  const cool = waterColour(24.9, 'cool', limits)
  expect(cool[2] - RIGHT[2]).toBeGreaterThan(20)
  expect(waterColour(24.1, 'cool', limits)[2]).toBeGreaterThan(cool[2])
  expect(waterColour(24.1, 'cool', limits)).not.toEqual(COLD)
})
it('css writes alpha only where there is some', () => {
  expect(css([1, 2, 3])).toBe('rgb(1 2 3)')
  expect(css([1, 2, 3], 0.5)).toBe('rgb(1 2 3 / 0.5)')
})
