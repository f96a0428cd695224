import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { developmentBetween, developmentRate } from '../../../broker/hatch/development/thermal-clock.ts'

const temperature = fc.double({ min: -5, max: 45, noNaN: true })

describe('developmentRate', () => {
  it.each([
    [-127, 0],
    [11.99, 0],
    [12, 1],
    [20, 9],
    [27, 16],
    [30, 19],
    [31.5, 19],
    [33, 19],
    [33.01, 0],
    [85, 0],
    [NaN, 0],
    [Infinity, 0],
    [-Infinity, 0],
  ])('at %d °C is %d °C·h per hour', (waterC, rate) => {
    expect(developmentRate(waterC)).toBe(rate)
  })
})

describe('developmentBetween', () => {
  it('is the sum of fine slices at their middle temperature', () => {
    fc.assert(
      fc.property(
        temperature,
        temperature,
        fc.double({ min: 0.01, max: 24, noNaN: true }),
        (from, to, hours) => {
          const slices = 20_000
          let sum = 0
          for (let at = 0; at < slices; at++) {
            sum += (developmentRate(from + ((to - from) * (at + 0.5)) / slices) * hours) / slices
          }
          // A jump of the rate (19 at most) can fall anywhere within one slice, at each of two jumps.
          const bound = (2 * 19 * hours) / slices + 1e-6
          expect(Math.abs(developmentBetween(from, to, hours) - sum)).toBeLessThan(bound)
        },
      ),
      { numRuns: 60 },
    )
  })

  it('is the same both ways, never negative, and adds up over a split', () => {
    fc.assert(
      fc.property(temperature, temperature, fc.double({ min: 0, max: 1, noNaN: true }), (from, to, share) => {
        const whole = developmentBetween(from, to, 5)
        expect(whole).toBeGreaterThanOrEqual(0)
        expect(developmentBetween(to, from, 5)).toBeCloseTo(whole, 8)
        const middle = from + (to - from) * share
        // A split at a jump itself may put that point on either side of it; no such point has a length.
        const parts =
          developmentBetween(from, middle, 5 * share) + developmentBetween(middle, to, 5 * (1 - share))
        expect(parts).toBeCloseTo(whole, 6)
      }),
    )
  })

  it.each([NaN, -1, 0, -Infinity])('gives nothing for %d hours', hours => {
    expect(developmentBetween(27, 27, hours)).toBe(0)
  })

  it('gives nothing where a temperature is no number', () => {
    for (const bad of [NaN, Infinity, -Infinity]) {
      expect(developmentBetween(bad, 27, 1)).toBe(0)
      expect(developmentBetween(27, bad, 1)).toBe(0)
    }
  })
})
