import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { CountError } from '../../../broker/hatch/counts/errors.ts'
import {
  binomialInterval,
  LARGEST_COUNT,
  poissonInterval,
  poissonLimits,
  quasiPoissonLimits,
  scaled,
  withScaleError,
} from '../../../broker/hatch/counts/interval.ts'

const NOT_COUNTS = [NaN, Infinity, -1, 0.5, LARGEST_COUNT + 1]

describe('limits', () => {
  it('lie on either side of the count, and rise with it', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 1_000_000 }), count => {
        const { low, best, high } = poissonInterval(count)
        expect(best).toBe(count)
        expect(low).toBeLessThanOrEqual(count)
        expect(high).toBeGreaterThan(count)
        expect(poissonInterval(count + 1).low).toBeGreaterThan(low)
        expect(poissonInterval(count + 1).high).toBeGreaterThan(high)
      }),
    )
  })

  it('of a share lie within 0 and 1, and mirror when success and failure change places', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 5000 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (trials, part) => {
          const successes = Math.round(part * trials)
          const { low, best, high } = binomialInterval(successes, trials)
          expect(low).toBeGreaterThanOrEqual(0)
          expect(low).toBeLessThanOrEqual(best)
          expect(high).toBeGreaterThanOrEqual(best)
          expect(high).toBeLessThanOrEqual(1)
          const mirrored = binomialInterval(trials - successes, trials)
          expect(mirrored.low).toBeCloseTo(1 - high, 7)
          expect(mirrored.high).toBeCloseTo(1 - low, 7)
        },
      ),
    )
  })

  it('are wider at a greater confidence', () => {
    for (const [less, more] of [
      [poissonInterval(30, 0.8), poissonInterval(30, 0.99)],
      [binomialInterval(30, 40, 0.8), binomialInterval(30, 40, 0.99)],
    ] as const) {
      expect(more.low).toBeLessThan(less.low)
      expect(more.high).toBeGreaterThan(less.high)
    }
  })

  it.each(NOT_COUNTS)('are refused for %f', bad => {
    expect(() => poissonInterval(bad)).toThrow(
      `Cannot give limits of a count: count must be a whole number from 0 to 1000000000, got ${bad}`,
    )
    expect(() => binomialInterval(bad, 10)).toThrow(CountError)
    expect(() => binomialInterval(0, bad)).toThrow(CountError)
  })

  it('are refused for more successes than trials, no trials, and no confidence', () => {
    expect(() => binomialInterval(11, 10)).toThrow('successes must be a whole number from 0 to 10, got 11')
    expect(() => binomialInterval(0, 0)).toThrow('trials must be more than 0')
    for (const bad of [0, 1, NaN, 95]) {
      expect(() => poissonInterval(5, bad)).toThrow(
        `Cannot give limits: confidence must be between 0 and 1, got ${bad}`,
      )
      expect(() => binomialInterval(5, 9, bad)).toThrow(CountError)
    }
  })
})

describe('quasi-Poisson limits', () => {
  it('are those of Poisson for an index of 1 that is known well', () => {
    const [wide, plain] = [quasiPoissonLimits(200, 1, 1e6), poissonLimits(200, 0.95)]
    expect(wide.low).toBeCloseTo(plain.low, 3)
    expect(wide.high).toBeCloseTo(plain.high, 3)
  })

  it('are about √index times as wide, wider the less is known of it, and never without what was counted', () => {
    const plain = poissonLimits(10_000, 0.95)
    const nine = quasiPoissonLimits(10_000, 9, 1e6)
    expect((nine.high - nine.low) / (plain.high - plain.low)).toBeCloseTo(3, 1)
    expect(quasiPoissonLimits(10_000, 9, 3).high).toBeGreaterThan(nine.high)
    expect(quasiPoissonLimits(145, 19, 1).low).toBeGreaterThan(0)
  })
})

describe('scale', () => {
  const interval = { low: 80, best: 100, high: 125 }
  it('that is exact moves all three', () => {
    expect(scaled(interval, 4)).toEqual({ low: 320, best: 400, high: 500 })
  })

  it('that is uncertain adds as squares on the ln scale', () => {
    expect(withScaleError(interval, 0)).toEqual(interval)
    // ln 1.25 both ways and ln 1.25 again: √2 times as far.
    const { low, best, high } = withScaleError(interval, 0.25)
    expect(best).toBe(100)
    expect(high).toBeCloseTo(100 * 1.25 ** Math.SQRT2, 9)
    expect(low).toBeCloseTo(100 / 1.25 ** Math.SQRT2, 9)
  })

  it('that is uncertain leaves nothing seen at nothing, with a higher limit', () => {
    const none = withScaleError({ low: 0, best: 0, high: 3.69 }, 0.5)
    expect(none.low).toBe(0)
    expect(none.best).toBe(0)
    expect(none.high).toBeCloseTo(5.535, 9)
  })
})
