import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { HarvestGoal } from '../../../broker/hatch/contract.ts'
import {
  harvestWindow,
  usableFood,
  WORTH_HARVESTING,
} from '../../../broker/hatch/population/harvest-window.ts'
import { unseenLot } from '../../../broker/hatch/lot/lot.ts'
import { hatchedShare } from '../../../broker/hatch/population/population.ts'

const population = fc.record({
  medianDegH: fc.double({ min: 100, max: 800, noNaN: true }),
  spread: fc.double({ min: 0.02, max: 0.4, noNaN: true }),
})
const goal = fc.constantFrom(...Object.values(HarvestGoal))

describe('usable food', () => {
  it('is never more than what has hatched, and never negative', () => {
    fc.assert(
      fc.property(population, goal, fc.double({ min: 0, max: 3000, noNaN: true }), (lot, wanted, degH) => {
        const food = usableFood(lot, wanted, degH)
        expect(food).toBeLessThanOrEqual(hatchedShare(lot, degH) + 1e-9)
        expect(food).toBeGreaterThanOrEqual(-1e-9)
      }),
    )
  })

  it('loses between 22 and 37 % of its energy, and 16 and 34 % of its dry weight, over a day', () => {
    // Vanhaecke, Lavens & Sorgeloos 1983. Hatched all at once at 300; a day at 27 °C is 24 x 16 degree-hours.
    const atOnce = { medianDegH: 300, spread: 0 }
    const day = 300 + 24 * 16
    const energyLost = 1 - usableFood(atOnce, HarvestGoal.balanced, day)
    const weightLost = 1 - usableFood(atOnce, HarvestGoal.most, day)
    expect(energyLost).toBeGreaterThan(0.22)
    expect(energyLost).toBeLessThan(0.37)
    expect(weightLost).toBeGreaterThan(0.16)
    expect(weightLost).toBeLessThan(0.34)
  })
})

describe('harvestWindow', () => {
  it('holds food within 5 % of the best, and less outside', () => {
    fc.assert(
      fc.property(population, goal, (lot, wanted) => {
        const { fromDegH, bestDegH, untilDegH } = harvestWindow(lot, wanted)
        const best = usableFood(lot, wanted, bestDegH)
        expect(fromDegH).toBeLessThanOrEqual(bestDegH)
        expect(untilDegH).toBeGreaterThanOrEqual(bestDegH)
        for (let i = 0; i <= 40; i++) {
          const inside = fromDegH + ((untilDegH - fromDegH) * i) / 40
          expect(usableFood(lot, wanted, inside)).toBeGreaterThanOrEqual(best * WORTH_HARVESTING - 1e-6)
          expect(usableFood(lot, wanted, fromDegH * 0.999 - i * 5)).toBeLessThan(
            best * WORTH_HARVESTING + 1e-3,
          )
          expect(usableFood(lot, wanted, fromDegH + i * 40)).toBeLessThanOrEqual(best * 1.0001)
        }
        expect(usableFood(lot, wanted, untilDegH + 5)).toBeLessThan(best * WORTH_HARVESTING + 1e-3)
      }),
    )
  })

  it('comes earliest for the smallest nauplii and latest for the most food', () => {
    fc.assert(
      fc.property(population, lot => {
        const smallest = harvestWindow(lot, HarvestGoal.smallest)
        const balanced = harvestWindow(lot, HarvestGoal.balanced)
        const most = harvestWindow(lot, HarvestGoal.most)
        expect(smallest.bestDegH).toBeLessThanOrEqual(balanced.bestDegH + 0.1)
        expect(balanced.bestDegH).toBeLessThanOrEqual(most.bestDegH + 0.1)
        expect(smallest.untilDegH).toBeLessThanOrEqual(balanced.untilDegH + 0.1)
        expect(balanced.untilDegH).toBeLessThanOrEqual(most.untilDegH + 0.1)
      }),
    )
  })

  it('agrees with the trade: about 24 h warm, sooner for the smallest', () => {
    // Common practice, no source: 24 h at 80-82 °F (27 °C); 18 h when the smallest nauplii are wanted.
    const hours = (degH: number) => degH / (27 - 11)
    expect(Math.abs(hours(harvestWindow(unseenLot, HarvestGoal.balanced).bestDegH) - 24)).toBeLessThan(2)
    const smallest = hours(harvestWindow(unseenLot, HarvestGoal.smallest).fromDegH)
    expect(smallest).toBeGreaterThan(16)
    expect(smallest).toBeLessThan(21)
  })
})
