import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { DEG_H_PER_HOUR, ENERGY, MOULT_FROM_H, MOULT_UNTIL_H } from '../../../broker/hatch/population/age.ts'
import { embryosOf, requirementOf } from '../../../broker/hatch/population/population.ts'
import { stageShares, UMBRELLA_FROM, weighedByAge } from '../../../broker/hatch/population/stages.ts'
import { unseenLot } from '../../../broker/hatch/lot/lot.ts'

const population = fc.record({
  medianDegH: fc.double({ min: 100, max: 800, noNaN: true }),
  spread: fc.double({ min: 0.02, max: 0.4, noNaN: true }),
})
const degH = fc.double({ min: 0, max: 3000, noNaN: true })

describe('the stages of a population', () => {
  it('share the final number among them', () => {
    fc.assert(
      fc.property(population, degH, (lot, at) => {
        const { hatched, umbrella, instarI, instarII, energyLeft } = stageShares(embryosOf(lot), at)
        for (const share of [hatched, umbrella, instarI, instarII, energyLeft]) {
          expect(share).toBeGreaterThanOrEqual(0)
          expect(share).toBeLessThanOrEqual(1)
        }
        expect(instarI + instarII).toBeCloseTo(hatched, 6)
        expect(hatched + umbrella).toBeLessThanOrEqual(1 + 1e-9)
      }),
    )
  })

  it('are those of single embryos followed one by one', () => {
    const lot = { medianDegH: 300, spread: 0.144 }
    const needs = Array.from({ length: 20_000 }, (_, i) => requirementOf(lot, (i + 0.5) / 20_000))
    const span = (MOULT_UNTIL_H - MOULT_FROM_H) * DEG_H_PER_HOUR
    for (const at of [230, 270, 300, 360, 430, 600]) {
      const shares = stageShares(embryosOf(lot), at)
      const part = (of: (need: number) => number) => needs.reduce((sum, need) => sum + of(need), 0) / 20_000
      expect(shares.hatched).toBeCloseTo(
        part(need => Number(need <= at)),
        3,
      )
      expect(shares.umbrella).toBeCloseTo(
        part(need => UMBRELLA_FROM.filter(from => need > at && need * from <= at).length / 3),
        3,
      )
      // Moulted at an age that is even between the two: a share of those old enough.
      expect(shares.instarII).toBeCloseTo(
        part(need => Math.min(Math.max((at - need - MOULT_FROM_H * DEG_H_PER_HOUR) / span, 0), 1)),
        3,
      )
    }
  })

  it('stay as they are while nothing develops: cold keeps nauplii young', () => {
    // 40 h in the refrigerator add no degree-hours, so no age; 10 h at 27 °C moult nearly all that are out.
    const embryos = embryosOf(unseenLot)
    const fresh = stageShares(embryos, 300)
    expect(fresh.instarII).toBeLessThan(0.01)
    expect(stageShares(embryos, 300 + 10 * 16).instarII).toBeGreaterThan(0.4)
  })

  it('lose energy only once there is somebody to lose it', () => {
    const embryos = embryosOf(unseenLot)
    expect(stageShares(embryos, 0).energyLeft).toBe(1)
    const left = [200, 260, 320, 400, 500, 700].map(at => stageShares(embryos, at).energyLeft)
    expect(left).toEqual([...left].sort((a, b) => b - a))
  })

  it('weigh as a fine sum over ages does', () => {
    const lot = { medianDegH: 280, spread: 0.2 }
    const needs = Array.from({ length: 20_000 }, (_, i) => requirementOf(lot, (i + 0.5) / 20_000))
    const worth = (ageH: number) => {
      if (ageH < 0) return 0
      const to = ENERGY.findIndex(([atH]) => atH > ageH)
      const [fromH, from] = ENERGY[to - 1]!
      const [toH, until] = ENERGY[to]!
      return from + ((until - from) * (ageH - fromH)) / (toH - fromH)
    }
    for (const at of [200, 300, 450, 900]) {
      const sum = needs.reduce((total, need) => total + worth((at - need) / DEG_H_PER_HOUR), 0)
      expect(weighedByAge(embryosOf(lot), ENERGY, at)).toBeCloseTo(sum / 20_000, 3)
    }
  })
})
