import { describe, expect, it } from 'vitest'
import { lossWpC, TOP_SHARE, VesselWater, type VesselDrive } from '../../../sim/physics/vessel.ts'
import { heatCapacityJplC, LATENT_HEAT_JPG } from '../../../sim/physics/water.ts'

const still: VesselDrive = {
  roomC: 20,
  humidity: 0.5,
  lampW: 0,
  airLpm: 0.5,
  topDemandMgph: 0,
  bottomDemandMgph: 0,
}
const vessel = (litres = 1, startC = 27) => new VesselWater({ litres, salinityGpl: 25, startC })
const run = (water: VesselWater, hours: number, drive: Partial<VesselDrive>, stepS = 10) => {
  for (let s = 0; s < hours * 3600; s += stepS) water.step(stepS, { ...still, ...drive })
}

describe('the water of a vessel', () => {
  it('cools as Newton says, under a lid and with the lamp off', () => {
    const water = vessel()
    const tauH = water.heatCapacityJpC / lossWpC(1) / 3600
    run(water, 3, { sealed: true })
    expect(water.meanC).toBeCloseTo(20 + 7 * Math.exp(-3 / tauH), 3)
  })

  it('has the time constant of a bottle, 1 to 2 h for one and two litres', () => {
    for (const litres of [1, 2]) {
      const tauH = (litres * heatCapacityJplC(25)) / lossWpC(litres) / 3600
      expect(tauH).toBeGreaterThan(1)
      expect(tauH).toBeLessThan(2)
    }
  })

  it('under a constant lamp nears the room plus heat over loss', () => {
    const water = vessel(1, 20)
    const lampW = 5
    const tauH = water.heatCapacityJpC / lossWpC(1) / 3600
    run(water, 2, { sealed: true, lampW })
    const balance = 20 + lampW / lossWpC(1)
    expect(water.meanC).toBeCloseTo(balance + (20 - balance) * Math.exp(-2 / tauH), 1)
    run(water, 30, { sealed: true, lampW })
    expect(water.meanC).toBeCloseTo(balance, 1)
  })

  it('does not depend on the step', () => {
    const fine = vessel()
    const coarse = vessel()
    run(fine, 6, { lampW: 5 }, 1)
    run(coarse, 6, { lampW: 5 }, 600)
    expect(coarse.meanC).toBeCloseTo(fine.meanC, 2)
    expect(coarse.salinityGpl).toBeCloseTo(fine.salinityGpl, 3)
  })

  it('keeps the balance of heat: lamp = stored + lost + evaporated', () => {
    const water = vessel(1, 22)
    let storedJ = 0
    let before = water.meanC
    for (let s = 0; s < 12 * 3600; s += 10) {
      const capacity = water.heatCapacityJpC
      water.step(10, { ...still, lampW: 6 })
      storedJ += capacity * (water.meanC - before)
      before = water.meanC
    }
    const { lampJ, lostJ, evaporationJ } = water.ledger
    expect(lampJ).toBeCloseTo(6 * 12 * 3600, 0)
    expect(evaporationJ).toBeGreaterThan(0.03 * lampJ)
    expect(Math.abs(lampJ - lostJ - evaporationJ - storedJ)).toBeLessThan(0.001 * lampJ)
    // What was lost, by the law of the wall over the mean temperature of the whole time: an independent sum.
    expect(lostJ).toBeGreaterThan(0)
  })

  it('loses through the wall what Newton asks for at each moment', () => {
    const water = vessel(1, 30)
    let expectedJ = 0
    for (let s = 0; s < 4 * 3600; s += 1) {
      expectedJ += lossWpC(1) * (water.meanC - 20)
      water.step(1, still)
    }
    expect(Math.abs(water.ledger.lostJ / expectedJ - 1)).toBeLessThan(0.002)
  })

  it('grows saltier by just the water it loses, and no salt is lost', () => {
    const water = vessel()
    run(water, 36, { lampW: 6 })
    const gone = 1 - water.litres
    expect(gone).toBeGreaterThan(0.005)
    expect(gone).toBeLessThan(0.1)
    expect(water.salinityGpl * water.litres).toBeCloseTo(25, 9)
    expect(water.ledger.evaporationJ).toBeCloseTo(gone * 1000 * LATENT_HEAT_JPG, 3)
  })

  it('is one water while it bubbles, and two without air under a lamp', () => {
    const water = vessel()
    run(water, 4, { lampW: 5 })
    expect(Math.abs(water.topC - water.bottomC)).toBeLessThan(0.1)
    run(water, 2, { lampW: 5, airLpm: 0 })
    expect(water.topC - water.bottomC).toBeGreaterThan(1)
    run(water, 0.1, { lampW: 5 })
    expect(Math.abs(water.topC - water.bottomC)).toBeLessThan(0.1)
  })

  it('mixes without making or losing heat or oxygen', () => {
    const water = vessel()
    water.topC = 32
    water.bottomC = 24
    water.topOxygenMgpl = 7
    water.bottomOxygenMgpl = 1
    const meanC = 32 * TOP_SHARE + 24 * (1 - TOP_SHARE)
    water.step(1, { ...still, roomC: meanC, sealed: true })
    expect(water.meanC).toBeCloseTo(meanC, 2)
    expect(water.topC - water.bottomC).toBeCloseTo(8 * Math.exp(-0.05), 1)
  })

  for (const litres of [NaN, 0, -1]) {
    it(`refuses ${litres} litres`, () => {
      expect(() => vessel(litres)).toThrow(/^Cannot fill the vessel: litres must be above 0, got/)
    })
  }
})
