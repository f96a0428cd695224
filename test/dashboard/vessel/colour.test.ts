import { expect, it } from 'vitest'
import { COOL, css, HOT, RIGHT, UNKNOWN, waterColour } from '../../../dashboard/vessel/colour.ts'

const limits = { coolC: 24, hotC: 29.4 }

it('water is coloured by its limits, and never says other than its word', () => {
  expect(waterColour(22, 'cool', limits)).toEqual(COOL)
  expect(waterColour(27, 'right', limits)).toEqual(RIGHT)
  expect(waterColour(30, 'hot', limits)).toEqual(HOT)
  expect(waterColour(null, 'none', limits)).toEqual(UNKNOWN)
  expect(waterColour(27, 'fault', limits)).toEqual(UNKNOWN)
})
it('leans towards hot within a degree of the limit, without being it', () => {
  const near = waterColour(29.3, 'right', limits)
  expect(near).not.toEqual(RIGHT)
  expect(near).not.toEqual(HOT)
  expect(near[0]).toBeGreaterThan(RIGHT[0])
})
it('css writes alpha only where there is some', () => {
  expect(css([1, 2, 3])).toBe('rgb(1 2 3)')
  expect(css([1, 2, 3], 0.5)).toBe('rgb(1 2 3 / 0.5)')
})
