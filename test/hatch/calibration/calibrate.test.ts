import { describe, expect, it } from 'vitest'
import fc from 'fast-check'
import { allowedC, MOST_ALLOWED_C } from '../../../broker/hatch/calibration/allowance.ts'
import {
  calibrate,
  type CalibrationPoint,
  ICE_PLUS_MINUS_C,
} from '../../../broker/hatch/calibration/calibrate.ts'
import { correct } from '../../../broker/hatch/calibration/correct.ts'
import { CalibrationError, type CalibrationFault } from '../../../broker/hatch/calibration/errors.ts'

const ice = (probeC: number, more: Partial<CalibrationPoint> = {}): CalibrationPoint => ({
  reference: 'ice',
  referenceC: 0,
  referencePlusMinusC: ICE_PLUS_MINUS_C,
  probeC,
  spreadC: 0.02,
  count: 12,
  ...more,
})
const warm = (probeC: number, referenceC = 28, more: Partial<CalibrationPoint> = {}): CalibrationPoint => ({
  ...ice(probeC),
  reference: 'thermometer',
  referenceC,
  referencePlusMinusC: 0.2,
  ...more,
})
const faultOf = (points: readonly CalibrationPoint[]): CalibrationFault | null => {
  try {
    calibrate(points)
    return null
  } catch (error) {
    if (!(error instanceof CalibrationError)) throw error
    expect(error.message).toMatch(/^Cannot calibrate: /)
    return error.fault
  }
}

describe('a calibration', () => {
  it('of one point is an offset', () => {
    const made = calibrate([ice(0.4)])
    expect(made).toMatchObject({ gain: 1, offset: -0.4, residualC: 0 })
  })

  it('of two points far apart goes through both', () => {
    const made = calibrate([ice(0.4), warm(27.9)])
    expect(correct(0.4, made)).toBeCloseTo(0, 10)
    expect(correct(27.9, made)).toBeCloseTo(28, 10)
    expect(made.gain).toBeCloseTo(28 / 27.5, 10)
    expect(made.residualC).toBeCloseTo(0, 10)
  })

  it('of two points near each other is an offset, and says what is left over', () => {
    const made = calibrate([warm(27.9), warm(26.1, 26.4)])
    expect(made.gain).toBe(1)
    expect(made.offset).toBeCloseTo(0.2, 10)
    expect(made.residualC).toBeCloseTo(0.1, 10)
  })

  it('is as sure as a thousand calibrations of the same kind scatter', () => {
    // JCGM 101:2008, Supplement 1 to the GUM: the propagation of distributions by Monte Carlo, section 7.
    let state = 7
    const random = () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647
    const even = (halfWidth: number) => (2 * random() - 1) * halfWidth
    const normal = (sd: number) => sd * Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random())
    const points = [ice(0.3), warm(27.8)]
    const said = calibrate(points).uncertaintyC
    const errors = Array.from({ length: 4000 }, () => {
      const seen = points.map(point => ({
        ...point,
        referenceC: point.referenceC + even(point.referencePlusMinusC),
        probeC: point.probeC + normal(point.spreadC) + even(0.0625 / 2),
      }))
      const truth = calibrate(points)
      // The water is at 28 °C: what the probe shows then, and what is made of it.
      const shown = (28 - truth.offset) / truth.gain + even(0.0625 / 2)
      return correct(shown, calibrate(seen)) - 28
    })
    const sd = Math.sqrt(errors.reduce((sum, one) => sum + one * one, 0) / errors.length)
    expect(said / sd).toBeGreaterThan(0.95)
    expect(said / sd).toBeLessThan(1.05)
  })

  it('is less sure at work where it was only held in ice', () => {
    expect(calibrate([ice(0.3)]).uncertaintyC).toBeGreaterThan(calibrate([ice(0.3), warm(27.8)]).uncertaintyC)
    expect(calibrate([ice(0.3)]).uncertaintyC).toBeGreaterThan(
      calibrate([warm(27.8, 28, { referencePlusMinusC: 0.1 })]).uncertaintyC,
    )
  })

  it('never grows surer by a worse reference or more scatter', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.05, max: 1, noNaN: true }),
        fc.double({ min: 0, max: 0.08, noNaN: true }),
        (ref, spread) => {
          const base = calibrate([ice(0.1), warm(28, 28)]).uncertaintyC
          const worse = calibrate([
            ice(0.1, { spreadC: 0.02 + spread * 0.5 }),
            warm(28, 28, { referencePlusMinusC: 0.2 + ref }),
          ]).uncertaintyC
          return worse >= base
        },
      ),
    )
  })

  it('is refused where it is absurd', () => {
    expect(faultOf([ice(22)])).toBe('too-far')
    expect(faultOf([warm(22, 28)])).toBe('too-far')
    expect(faultOf([ice(-1.2), warm(28.5)])).toBe('bad-gain')
    expect(faultOf([warm(27, 28), warm(28, 27.5)])).toBe('do-not-agree')
    expect(faultOf([ice(0.1, { spreadC: 0.3 })])).toBe('not-steady')
    expect(faultOf([ice(0.1, { count: 3 })])).toBe('too-few-readings')
    expect(faultOf([])).toBe('no-points')
    for (const bad of [NaN, Infinity, -20, 90]) expect(faultOf([warm(28, bad)])).toBe('bad-reference')
    for (const bad of [NaN, 0, -1, 3])
      expect(faultOf([warm(28, 28, { referencePlusMinusC: bad })])).toBe('bad-reference')
  })
})

describe('what the heat alarm allows for a probe', () => {
  it('is twice its standard uncertainty, a degree at most, and nothing where none is known', () => {
    expect(allowedC(0.1)).toBeCloseTo(0.2, 12)
    expect(allowedC(3)).toBe(MOST_ALLOWED_C)
    for (const none of [null, undefined, 0, -1, NaN]) expect(allowedC(none)).toBe(0)
  })
})
