import { describe, expect, it } from 'vitest'
import jstat from 'jstat'
import { controlChart, MEDIAN_OF_TWO } from '../../broker/hatch/lot/control-chart.ts'

const of = (values: readonly number[]) =>
  values.map((value, at) => ({ atMs: at * 86_400_000, value, low: value - 1, high: value + 1 }))

describe('a control chart of individuals against published examples', () => {
  it('gives the limits of NIST/SEMATECH 2012, e-Handbook of Statistical Methods, section 6.3.2.2', () => {
    // Batches 1 to 10: mean 50.81, mean moving range 1.8778, limits 55.8041 and 45.8159.
    const { limits } = controlChart(of([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]))
    expect(limits?.mean).toBeCloseTo(50.81, 8)
    expect(limits?.meanMovingRange).toBeCloseTo(1.8778, 4)
    expect(limits?.upper).toBeCloseTo(55.8041, 3)
    expect(limits?.lower).toBeCloseTo(45.8159, 3)
  })

  it('gives the limits of Montgomery 2013, Introduction to Statistical Quality Control, 7th ed., example 6.5 (from memory)', () => {
    // Costs of processing loan applications: mean 300.5, mean moving range 7.79, limits 321.22 and 279.78, of the ranges 25.45.
    const costs = [
      310, 288, 297, 298, 307, 303, 294, 297, 308, 306, 294, 299, 297, 299, 314, 295, 293, 306, 301, 304,
    ]
    const { limits } = controlChart(of(costs), { baseOf: costs.length })
    expect(limits?.mean).toBeCloseTo(300.5, 8)
    expect(limits?.meanMovingRange).toBeCloseTo(7.79, 2)
    expect(limits?.upper).toBeCloseTo(321.22, 1)
    expect(limits?.lower).toBeCloseTo(279.78, 1)
    expect(limits?.upperMovingRange).toBeCloseTo(25.45, 1)
  })

  it('takes the median of a range of two as the normal distribution has it', () => {
    // |X - Y| of two standard normals is √2 |Z|, and half of |Z| lie below the upper quartile (computed by an independent library).
    expect(MEDIAN_OF_TWO).toBeCloseTo(Math.SQRT2 * jstat.jStat.normal.inv(0.75, 0, 1), 4)
  })
})
