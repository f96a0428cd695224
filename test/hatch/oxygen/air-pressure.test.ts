import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { pressureAtAltitude } from '../../../broker/hatch/oxygen/air-pressure.ts'

describe('air pressure', () => {
  it('falls with every metre', () => {
    const altitude = fc.double({ min: -500, max: 10_999, noNaN: true })
    fc.assert(fc.property(altitude, metres => pressureAtAltitude(metres + 1) < pressureAtAltitude(metres)))
  })

  it.each([NaN, Infinity, -Infinity, -501, 11_001])('refuses %f m', metres => {
    expect(() => pressureAtAltitude(metres)).toThrow(
      new RangeError(`Cannot reckon air pressure: the altitude must be -500 to 11000 m, got ${metres}`),
    )
  })
})
