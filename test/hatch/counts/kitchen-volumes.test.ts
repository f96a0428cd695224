import { describe, expect, it } from 'vitest'
import { CountError } from '../../../broker/hatch/counts/errors.ts'
import {
  ANY_DROPPER,
  dropsAsMl,
  measuredDropper,
  syringeMl,
} from '../../../broker/hatch/counts/kitchen-volumes.ts'

describe('small volumes without a pipette', () => {
  it('takes 20 drops for a millilitre, a quarter off', () => {
    // The pharmacists' rule of thumb: common practice, no source.
    expect(dropsAsMl(20)).toEqual({ ml: 1, errorShare: 0.25 })
  })

  it('knows a dropper better that was measured', () => {
    const own = measuredDropper(48, 2)
    expect(own.dropsPerMl).toBe(24)
    // Half a drop in 48 is 1.04 %, the syringe 5 %: √(1.04² + 5²) = 5.11.
    expect(own.errorShare).toBeCloseTo(0.0511, 4)
    expect(dropsAsMl(6, own).ml).toBe(0.25)
    expect(measuredDropper(10, 0.5, 0).errorShare).toBeLessThan(ANY_DROPPER.errorShare)
  })

  it('reads a syringe to half a line', () => {
    expect(syringeMl(1, 0.1)).toEqual({ ml: 1, errorShare: 0.05 })
    expect(syringeMl(1, 0.1, 2).errorShare).toBeCloseTo(0.0707, 4)
  })

  it.each([NaN, Infinity, -1, 0])('refuses %f', bad => {
    for (const ask of [
      () => dropsAsMl(bad),
      () => measuredDropper(bad, 1),
      () => measuredDropper(20, bad),
      () => syringeMl(bad, 0.1),
      () => syringeMl(1, bad),
    ]) {
      expect(ask).toThrow(CountError)
    }
  })

  it('refuses too few drops to measure a dropper by, and a line wider than what is read', () => {
    expect(() => measuredDropper(9, 0.5)).toThrow(
      'Cannot measure a dropper: drops must be at least 10, got 9',
    )
    expect(() => syringeMl(0.5, 1)).toThrow(
      'Cannot read a syringe: line must be more than 0 and at most 0.5, got 1',
    )
  })
})
