import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { oxygenSaturation } from '../../../broker/hatch/oxygen/solubility.ts'

const waterC = fc.double({ min: 0, max: 40, noNaN: true })
const salinityGpkg = fc.double({ min: 0, max: 120, noNaN: true })
const pressureKpa = fc.double({ min: 30, max: 110, noNaN: true })

describe('oxygen in saturated water', () => {
  it('is less when it is warmer, saltier or higher up, and never nothing', () => {
    fc.assert(
      fc.property(waterC, salinityGpkg, pressureKpa, (water, salinity, pressure) => {
        const at = (c: number, s: number, p: number) =>
          oxygenSaturation({ waterC: c, salinityGpkg: s, pressureKpa: p })
        const here = at(water, salinity, pressure)
        expect(here).toBeGreaterThan(0.5)
        if (water <= 39) expect(at(water + 1, salinity, pressure)).toBeLessThan(here)
        if (salinity <= 119) expect(at(water, salinity + 1, pressure)).toBeLessThan(here)
        if (pressure >= 31) expect(at(water, salinity, pressure - 1)).toBeLessThan(here)
      }),
    )
  })

  it('is at one atmosphere when no pressure is given', () => {
    const water = { waterC: 27, salinityGpkg: 25 }
    expect(oxygenSaturation(water)).toBeCloseTo(oxygenSaturation({ ...water, pressureKpa: 101.325 }), 12)
  })

  it('falls faster than the pressure, because the vapour keeps its share', () => {
    const warm = { waterC: 30, salinityGpkg: 0 }
    const halved = oxygenSaturation({ ...warm, pressureKpa: 101.325 / 2 }) / oxygenSaturation(warm)
    // Vapour at 30 °C presses 4.25 kPa (common tables): (50.66 - 4.25) / (101.33 - 4.25) = 0.478.
    expect(halved).toBeCloseTo(0.478, 3)
  })

  const good = { waterC: 27, salinityGpkg: 25, pressureKpa: 101 }
  it.each([
    [{ ...good, waterC: NaN }, 'the water temperature must be 0 to 40 °C, got NaN'],
    [{ ...good, waterC: -0.1 }, 'the water temperature must be 0 to 40 °C, got -0.1'],
    [{ ...good, waterC: Infinity }, 'the water temperature must be 0 to 40 °C, got Infinity'],
    [{ ...good, salinityGpkg: -1 }, 'the salinity must be 0 to 120 g/kg, got -1'],
    [{ ...good, salinityGpkg: NaN }, 'the salinity must be 0 to 120 g/kg, got NaN'],
    [{ ...good, pressureKpa: 29 }, 'the air pressure must be 30 to 110 kPa, got 29'],
    [{ ...good, pressureKpa: 1013 }, 'the air pressure must be 30 to 110 kPa, got 1013'],
  ])('refuses %o', (water, because) => {
    expect(() => oxygenSaturation(water)).toThrow(
      new RangeError(`Cannot reckon dissolved oxygen: ${because}`),
    )
  })
})
