import { describe, expect, it } from 'vitest'
import { bubbleTransferPerH, oxygenAfter, oxygenSaturationMgpl } from '../../../sim/physics/oxygen.ts'
import { densityKgpl, heatCapacityJplC, saturatedVapourGpm3 } from '../../../sim/physics/water.ts'

/** Grams of salt per litre that make this many grams per kg, by the simulator's own density. */
const gplOf = (gpkg: number) => {
  let gpl = gpkg
  for (let i = 0; i < 20; i++) gpl = gpkg * densityKgpl(gpl)
  return gpl
}

describe('oxygen saturation', () => {
  // EN 25814 (1992), table at 101.325 kPa: mg/l in fresh water, and what each g/kg of salt takes off.
  const table = [
    [10, 11.3, 0.0632],
    [15, 10.1, 0.0545],
    [20, 9.09, 0.0475],
    [25, 8.26, 0.0421],
    [30, 7.56, 0.0371],
  ] as const
  for (const [waterC, fresh, perGpkg] of table) {
    it(`at ${waterC} °C is the standard's`, () => {
      // The table gives three figures, so half a step of the last one.
      expect(Math.abs(oxygenSaturationMgpl(waterC, 0) - fresh)).toBeLessThan(0.051)
      // It draws a straight line through salt where the formula curves: they meet at sea water, not half way.
      const sea = fresh - 35 * perGpkg
      expect(Math.abs(oxygenSaturationMgpl(waterC, gplOf(35)) / sea - 1)).toBeLessThan(0.01)
    })
  }

  it('agrees with the check value of Garcia & Gordon 1992 at 10 °C and 35 g/kg', () => {
    // Garcia & Gordon 1992, Limnology and Oceanography 37:1307: 274.610 µmol/kg (their fit to the same data).
    const density = 1.0269 // kg/l at 10 °C and 35 g/kg, EOS-80
    const umolPerKg = (oxygenSaturationMgpl(10, gplOf(35)) / 31.9988 / density) * 1000
    expect(Math.abs(umolPerKg / 274.61 - 1)).toBeLessThan(0.003)
  })
})

describe('oxygen transfer', () => {
  it('nears saturation as the closed form does', () => {
    let oxygen = 2
    for (let i = 0; i < 3600; i++) oxygen = oxygenAfter(oxygen, 7, 3, 0, 1 / 3600)
    expect(oxygen).toBeCloseTo(7 - 5 * Math.exp(-3), 2)
  })

  it('comes to rest where transfer meets demand, and never below zero', () => {
    let oxygen = 7
    for (let i = 0; i < 10_000; i++) oxygen = oxygenAfter(oxygen, 7, 10, 20, 10 / 3600)
    const taken = (20 * oxygen) / (oxygen + 0.3)
    expect(10 * (7 - oxygen)).toBeCloseTo(taken, 3)
    for (let i = 0; i < 1000; i++) {
      oxygen = oxygenAfter(oxygen, 7, 0, 500, 0.1)
      expect(oxygen).toBeGreaterThanOrEqual(0)
    }
  })

  it('rises with the air, and is nothing without', () => {
    expect(bubbleTransferPerH(0)).toBe(0)
    expect(bubbleTransferPerH(1)).toBeGreaterThan(bubbleTransferPerH(0.5))
  })
})

describe('salt water', () => {
  it('has the density of EOS-80 within 0.4 %', () => {
    // UNESCO technical papers in marine science 44, p. 22: 30 °C, 0 and 35 g/kg.
    expect(Math.abs(densityKgpl(0) / 0.99565113 - 1)).toBeLessThan(0.004)
    expect(Math.abs(densityKgpl(gplOf(35)) / 1.02172864 - 1)).toBeLessThan(0.004)
  })

  it('has the heat capacity of sea water', () => {
    // From memory: sea water of 35 g/kg at 25 °C has about 3,990 J/kg/K, fresh water 4,180.
    expect(heatCapacityJplC(gplOf(35)) / densityKgpl(gplOf(35))).toBeCloseTo(3990, -1.5)
  })

  it('gives off vapour as tables have it', () => {
    // From memory: saturated air holds 17.3 g/m3 at 20 °C and 30.4 at 30 °C.
    expect(Math.abs(saturatedVapourGpm3(20) - 17.3)).toBeLessThan(0.1)
    expect(Math.abs(saturatedVapourGpm3(30) - 30.4)).toBeLessThan(0.2)
  })
})
