import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  BASIS_NAMES,
  hydrometerReading,
  plainSaltGpkg,
  readHydrometer,
  seaGpkgOfPlainSalt,
} from '../../../broker/hatch/recipe/hydrometer.ts'

const basis = fc.constantFrom(...BASIS_NAMES)
const waterC = fc.double({ min: 0, max: 40, noNaN: true })

describe('a hydrometer', () => {
  it('reads what brine shows on it', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 60, noNaN: true }), basis, waterC, (gpkg, on, t) => {
        const found = readHydrometer(hydrometerReading(gpkg, on, t), on, t)
        expect(found.salinityGpkg).toBeCloseTo(gpkg, 6)
        expect(found.lowestGpkg).toBeLessThanOrEqual(found.salinityGpkg)
        expect(found.highestGpkg).toBeGreaterThanOrEqual(found.salinityGpkg)
        expect(found.beyondEquation).toBe(found.salinityGpkg > 42)
      }),
    )
  })

  it('shows less in warmer water of the same salt', () => {
    for (const on of BASIS_NAMES)
      expect(hydrometerReading(25, on, 30)).toBeLessThan(hydrometerReading(25, on, 20))
  })

  it('says fresh for anything lighter than fresh water', () =>
    expect(readHydrometer(0.992, '60/60F', 20)).toMatchObject({ salinityGpkg: 0, salinityGpl: 0 }))

  it('refuses readings that no brine gives', () => {
    for (const bad of [NaN, Infinity, -1, 0.98, 1.11, 25])
      expect(() => readHydrometer(bad, '20/4', 20)).toThrow(
        `Cannot read hydrometer: reading must be from 0.99 to 1.1, got ${bad}`,
      )
    for (const bad of [NaN, -0.1, 40.1])
      expect(() => readHydrometer(1.02, '20/4', bad)).toThrow(/temperatureC must be from 0 to 40/)
  })

  it('takes more of plain salt for the same reading', () => {
    // 40 g/kg of sodium chloride weigh 1026.8 kg/m³ at 20 °C, as sea water of 37.6 g/kg does.
    expect(plainSaltGpkg(37.6)).toBeCloseTo(40, 1)
    const read = readHydrometer(1.02, '20/20', 25)
    expect(read.plainSaltGpkg).toBeCloseTo(plainSaltGpkg(read.salinityGpkg), 9)
    expect(seaGpkgOfPlainSalt(read.plainSaltGpl, 25)).toBeCloseTo(read.salinityGpkg, 6)
  })
})
