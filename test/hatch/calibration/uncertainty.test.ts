import { describe, expect, it } from 'vitest'
import { linearRegression } from 'simple-statistics'
import { combined, ofHalfWidth, ofStep } from '../../../broker/hatch/calibration/uncertainty.ts'

describe('the combined standard uncertainty', () => {
  it('is that of the end gauge of the GUM', () => {
    // JCGM 100:2008, annex H.1.4 and table H.1: 25, 9.7, 2.9 and 16.6 nm make 32 nm.
    const nm = [25, 9.7, 2.9, 16.6].map(u => ({ sensitivity: 1, u }))
    expect(combined(nm)).toBeCloseTo(Math.sqrt(1002), 0)
    expect(Math.round(combined(nm))).toBe(32)
  })

  it('adds what is fully correlated before it squares', () => {
    // JCGM 100:2008, 5.2.2, example: ten resistors of 1000 Ω, each known to 100 mΩ by one and the same standard, make 1 Ω in series.
    const series = (group?: string) =>
      Array.from({ length: 10 }, () => ({ sensitivity: 1, u: 0.1, ...(group && { group }) }))
    expect(combined(series('standard'))).toBeCloseTo(1, 12)
    // The same place: were they independent, it would be 0.32 Ω.
    expect(combined(series())).toBeCloseTo(0.32, 2)
  })

  it('takes a half-width and a step as the GUM does', () => {
    // JCGM 100:2008, 4.3.7 and F.2.2.1: a half-width a is a/√3; a step δx is 0.29 δx.
    expect(ofHalfWidth(1)).toBeCloseTo(0.5774, 4)
    expect(ofStep(1)).toBeCloseTo(0.29, 2)
  })

  it('stands on the same line as the thermometer of the GUM', () => {
    // JCGM 100:2008, annex H.3, table H.6: readings and corrections of a thermometer, °C; y1 = -0.1712 at 20 °C, y2 = 0.00218.
    const readings = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511]
    const corrections = [-171, -169, -166, -159, -164, -165, -156, -157, -159, -161, -160].map(
      one => one / 1000,
    )
    const { m, b } = linearRegression(readings.map((one, at) => [one - 20, corrections[at]!]))
    expect(b).toBeCloseTo(-0.1712, 4)
    expect(m).toBeCloseTo(0.00218, 5)
  })
})
