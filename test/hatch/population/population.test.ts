import fc from 'fast-check'
import { errorFunction, mean, median, quantile, standardDeviation } from 'simple-statistics'
import { describe, expect, it } from 'vitest'
import { normalQuantile, normalShare, quickShare } from '../../../broker/hatch/normal.ts'
import { hatchedShare, hatchedSoFar, requirementOf } from '../../../broker/hatch/population/population.ts'
import { unseenLot } from '../../../broker/hatch/lot/lot.ts'

const population = fc.record({
  medianDegH: fc.double({ min: 80, max: 800, noNaN: true }),
  spread: fc.double({ min: 0.02, max: 0.5, noNaN: true }),
})

describe('the normal distribution', () => {
  it.each([
    // Abramowitz & Stegun 1964, Handbook of Mathematical Functions, table 26.1, P(x).
    [0, 0.5],
    [1, 0.841344746068543],
    [2, 0.977249868051821],
    [3, 0.99865010196837],
  ])('holds P(%d) of the printed table', (z, share) => {
    expect(normalShare(z)).toBeCloseTo(share, 13)
    expect(normalShare(-z)).toBeCloseTo(1 - share, 13)
  })

  it('agrees with an error function that others wrote', () => {
    fc.assert(
      fc.property(fc.double({ min: -6, max: 6, noNaN: true }), z => {
        // That one is good to 1.2e-7 (Numerical Recipes' fractional error).
        expect(normalShare(z)).toBeCloseTo((1 + errorFunction(z / Math.SQRT2)) / 2, 6)
      }),
    )
  })

  it('is the same to 1e-9 where it is asked in a hurry', () => {
    fc.assert(
      fc.property(fc.double({ min: -12, max: 12, noNaN: true }), z => {
        expect(Math.abs(quickShare(z) - normalShare(z))).toBeLessThan(1e-9)
      }),
    )
    expect(quickShare(-Infinity)).toBe(0)
    expect(quickShare(Infinity)).toBe(1)
    expect(quickShare(NaN)).toBeNaN()
  })

  it('is undone by its quantile', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-9, max: 1 - 1e-9, noNaN: true }), share => {
        expect(normalShare(normalQuantile(share))).toBeCloseTo(share, 12)
      }),
    )
    expect(normalQuantile(0)).toBe(-Infinity)
    expect(normalQuantile(1)).toBe(Infinity)
    expect(normalQuantile(NaN)).toBeNaN()
    expect(normalQuantile(-0.1)).toBeNaN()
    expect(normalShare(NaN)).toBeNaN()
  })
})

describe('a population of embryos', () => {
  it('has the median and the spread that it says, measured on its own members', () => {
    fc.assert(
      fc.property(population, lot => {
        const members = Array.from({ length: 4000 }, (_, i) => requirementOf(lot, (i + 0.5) / 4000))
        expect(median(members) / lot.medianDegH).toBeCloseTo(1, 3)
        // The outermost 1/8000 of a log-normal is missing from the members.
        expect(standardDeviation(members) / lot.medianDegH / lot.spread).toBeCloseTo(1, 1)
        expect(quantile(members, 0.1) / requirementOf(lot, 0.1)).toBeCloseTo(1, 2)
      }),
      { numRuns: 25 },
    )
  })

  it('hatches from nobody to everybody, never backwards', () => {
    fc.assert(
      fc.property(population, fc.array(fc.double({ min: -100, max: 3000, noNaN: true })), (lot, points) => {
        const shares = points.sort((a, b) => a - b).map(degH => hatchedShare(lot, degH))
        shares.forEach((share, i) => {
          expect(share).toBeGreaterThanOrEqual(shares[i - 1] ?? 0)
          expect(share).toBeLessThanOrEqual(1)
        })
        expect(hatchedShare(lot, 0)).toBe(0)
        expect(hatchedShare(lot, NaN)).toBe(0)
        expect(hatchedShare(lot, lot.medianDegH)).toBeCloseTo(0.5, 12)
        expect(hatchedShare(lot, requirementOf(lot, 0.1))).toBeCloseTo(0.1, 9)
        expect(hatchedShare(lot, requirementOf(lot, 0.9))).toBeCloseTo(0.9, 9)
      }),
    )
  })

  it('hatches all at once without a spread', () => {
    const lot = { medianDegH: 300, spread: 0 }
    expect(hatchedShare(lot, 299.99)).toBe(0)
    expect(hatchedShare(lot, 300.01)).toBe(1)
    expect(hatchedSoFar(lot, 310)).toBeCloseTo(10, 3)
  })

  it('sums what has hatched as a fine sum does', () => {
    for (const degH of [50, 200, 296, 400, 900]) {
      const steps = 20_000
      const fine = mean(
        Array.from({ length: steps }, (_, i) => hatchedShare(unseenLot, (degH * (i + 0.5)) / steps)),
      )
      expect(hatchedSoFar(unseenLot, degH)).toBeCloseTo(fine * degH, 4)
    }
  })
})
