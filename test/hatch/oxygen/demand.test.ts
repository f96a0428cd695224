import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  CYST_DEMAND_MGPGH,
  NAUPLII_PER_G,
  NAUPLIUS_DEMAND_NGPH,
  oxygenDemand,
  RESPIRATION_Q10,
  respirationPace,
} from '../../../broker/hatch/oxygen/demand.ts'

const exactly = (value: number) => ({ p10: value, p50: value, p90: value })
const share = fc.double({ min: 0, max: 1, noNaN: true })
const anyBand = (value: fc.Arbitrary<number>) =>
  fc.tuple(value, value, value).map(values => {
    const [p10 = 0, p50 = 0, p90 = 0] = values.sort((a, b) => a - b)
    return { p10, p50, p90 }
  })
const waterC = fc.double({ min: 0, max: 40, noNaN: true })

describe('oxygen demand', () => {
  it('is a band in its order, in proportion to the cysts, and more the more have hatched', () => {
    fc.assert(
      fc.property(
        anyBand(share),
        waterC,
        fc.double({ min: 0.01, max: 10, noNaN: true }),
        (hatched, water, gpl) => {
          const demand = oxygenDemand({ cystsGpl: gpl, hatched }, water)
          expect(demand.p10).toBeLessThanOrEqual(demand.p50)
          expect(demand.p50).toBeLessThanOrEqual(demand.p90)
          const twice = oxygenDemand({ cystsGpl: 2 * gpl, hatched }, water)
          expect(twice.p50 / demand.p50).toBeCloseTo(2, 9)
          const all = oxygenDemand({ cystsGpl: gpl, hatched: exactly(1) }, water)
          expect(all.p50).toBeGreaterThanOrEqual(demand.p50)
        },
      ),
    )
  })

  it('is that of cysts before the hatch and that of nauplii after it', () => {
    expect(oxygenDemand({ cystsGpl: 3, hatched: exactly(0) }, 25).p50).toBeCloseTo(
      3 * CYST_DEMAND_MGPGH.p50,
      12,
    )
    const hatched = oxygenDemand({ cystsGpl: 3, hatched: exactly(1) }, 27)
    expect(hatched.p90).toBeCloseTo((3 * NAUPLII_PER_G.p90 * NAUPLIUS_DEMAND_NGPH.p90) / 1e6, 9)
    expect(oxygenDemand({ cystsGpl: 0, hatched: exactly(1) }, 27)).toEqual(exactly(0))
  })

  it('bears a share that ends a rounding error above 1, and water beyond its range', () => {
    const over = oxygenDemand({ cystsGpl: 2, hatched: exactly(1 + 2e-16) }, 27)
    expect(over.p50).toBeCloseTo(oxygenDemand({ cystsGpl: 2, hatched: exactly(1) }, 27).p50, 9)
    expect(respirationPace(60, 25, 30)).toEqual(respirationPace(40, 25, 30))
    expect(respirationPace(-3, 25, 30)).toEqual(respirationPace(0, 25, 30))
  })

  it.each([NaN, Infinity, -1])('refuses a load of %f', bad => {
    expect(() => oxygenDemand({ cystsGpl: bad, hatched: exactly(0) }, 27)).toThrow(
      `Cannot reckon oxygen demand: cysts in g/l must be 0 or more, got ${bad}`,
    )
    expect(() => oxygenDemand({ cystsGpl: 2, hatched: exactly(bad) }, 27)).toThrow(
      /hatched share must be 0 to 1/,
    )
    expect(() => oxygenDemand({ cystsGpl: 2, hatched: exactly(1), naupliiPerG: exactly(bad) }, 27)).toThrow(
      /nauplii per gram must be 0 or more/,
    )
    if (bad !== -1) {
      expect(() => oxygenDemand({ cystsGpl: 2, hatched: exactly(0) }, bad)).toThrow(/water temperature/)
    }
  })
})

describe('the pace of respiration', () => {
  it('is one where it was measured, whatever its Q10', () => {
    for (const at of [25, 27.5, 30]) expect(respirationPace(at, 25, 30)).toEqual(exactly(1))
  })

  it('changes by the Q10 for each ten degrees outside', () => {
    expect(respirationPace(40, 25, 30)).toEqual(RESPIRATION_Q10)
    const cold = respirationPace(15, 25, 30)
    expect(cold.p50).toBeCloseTo(1 / 1.9, 12)
    // In the cold the steep response takes least.
    expect(cold.p10).toBeCloseTo(1 / 2.04, 12)
    expect(cold.p90).toBeCloseTo(1 / 1.82, 12)
  })
})
