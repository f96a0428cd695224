import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { keptNumber, Kind, shownNumber } from '../../../dashboard/forms/kept-number.ts'

describe('a limit in °F', () => {
  it('is kept as it is when its field or its sentence is typed again', () => {
    expect(shownNumber(29.8, 'temperature', 'F')).toBe(85.6)
    expect(shownNumber(0.3, 'difference', 'F')).toBe(0.5)
    expect(keptNumber(0.5, 0.3, 'difference', 'F')).toBe(0.3)
    expect(shownNumber(29.4, 'temperature', 'F')).toBe(84.9)
    expect(keptNumber(84.92, 29.4, 'temperature', 'F')).toBe(29.4)
    expect(keptNumber(84.9, 29.4, 'temperature', 'F')).toBe(29.4)
  })
  it('is kept to a hundredth of a °C when it is another', () => {
    expect(keptNumber(84.9, 25, 'temperature', 'F')).toBe(29.39)
    expect(keptNumber(77, 29.4, 'temperature', 'F')).toBe(25)
  })
  it('has no 32 in a difference', () => {
    expect(shownNumber(0.5, 'difference', 'F')).toBe(0.9)
    expect(keptNumber(-1.8, 0, 'difference', 'F')).toBe(-1)
  })
})

it('what is shown can be typed again in any unit without a change', () => {
  fc.assert(
    fc.property(
      fc.double({ min: -40, max: 100_000, noNaN: true }),
      fc.constantFrom(...Object.values(Kind)),
      fc.constantFrom('C' as const, 'F' as const),
      (kept, kind, unit) => {
        expect(keptNumber(shownNumber(kept, kind, unit), kept, kind, unit)).toBe(kept)
      },
    ),
  )
})

it('numbers that are no temperatures are kept as typed', () =>
  expect(keptNumber(0.125, 0.1, 'plain', 'F')).toBe(0.125))
