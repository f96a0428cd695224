// Sea water and hydrometers against published values. Each names its source; none of the numbers comes from our own output.
import { describe, expect, it } from 'vitest'
import { BASIS_NAMES, plainSaltGpkg, readHydrometer } from '../../broker/hatch/recipe/hydrometer.ts'
import { brineDensity, waterDensity } from '../../broker/hatch/recipe/seawater.ts'
import { gplToGpkg, salinityAtDensity } from '../../broker/hatch/recipe/salinity.ts'

describe('density of sea water', () => {
  // UNESCO technical papers in marine science 44 (Fofonoff & Millard 1983), page 22, p = 0.
  it.each([
    [0, 0, 999.842594],
    [0, 30, 995.65113374],
    [35, 0, 1028.10633141],
    [35, 30, 1021.72863949],
  ])('S %s at %s °C is %s kg/m³', (salinity, waterC, density) => {
    expect(brineDensity(salinity, waterC)).toBeCloseTo(density, 7)
  })

  it('is that of water without salt', () => expect(brineDensity(0, 17.3)).toBe(waterDensity(17.3)))

  it('is greatest in fresh water at 4 °C', () => {
    // CRC Handbook of Chemistry and Physics, standard density of water, from memory: 999.972 kg/m³ at 3.98 °C.
    expect(waterDensity(3.98)).toBeCloseTo(999.972, 2)
    expect(waterDensity(4.1)).toBeLessThan(waterDensity(3.98))
    expect(waterDensity(3.86)).toBeLessThan(waterDensity(3.98))
  })

  it('leads back to the salinity', () => {
    expect(salinityAtDensity(1028.10633141, 0)).toBeCloseTo(35, 7)
    expect(salinityAtDensity(1021.72863949, 30)).toBeCloseTo(35, 7)
  })
})

describe('a published conversion table for aquarium hydrometers', () => {
  // "Approximate salinity, in parts per thousand, for the hydrometer reading at the indicated temperature" (R. Shimek), headed 60/60 °F,
  // rows of whole °F. Its own rounding is 0.05.
  const TABLE = [
    [77, 1.02, 28.6],
    [77, 1.023, 32.5],
    [77, 1.025, 35.2],
    [74, 1.023, 31.9],
    [86, 1.022, 33.2],
    [74, 1.02, 28.0],
    [74, 1.027, 37.2],
    [80, 1.025, 35.8],
    [87, 1.02, 30.8],
    [87, 1.027, 40.1],
  ] as const
  const read = (basis: '17.5/17.5' | '60/60F', fahrenheit: number, reading: number) =>
    readHydrometer(reading, basis, ((fahrenheit - 32) * 5) / 9).salinityGpkg

  it.each(TABLE)('is the 17.5/17.5 °C scale to 0.1 g/kg: %s °F, %s', (fahrenheit, reading, ppt) => {
    expect(Math.abs(read('17.5/17.5', fahrenheit, reading) - ppt)).toBeLessThan(0.1)
  })

  // Strict 60/60 °F lies above it everywhere by the same, so the table has the temperature and the glass right, and another zero.
  it.each(TABLE)('lies evenly below strict 60/60 °F: %s °F, %s', (fahrenheit, reading, ppt) => {
    const above = read('60/60F', fahrenheit, reading) - ppt
    expect(above).toBeGreaterThan(0.25)
    expect(above).toBeLessThan(0.45)
  })
})

describe('what a hydrometer is calibrated against', () => {
  it('moves 1.025 at 25 °C from 33.2 to 36.9 g/kg', () => {
    // Computed independently for the project's notes from EOS-80, to 0.1.
    const { lowestGpkg, highestGpkg } = readHydrometer(1.025, '60/60F', 25)
    expect(lowestGpkg).toBeCloseTo(33.2, 1)
    expect(Math.abs(highestGpkg - 36.9)).toBeLessThan(0.15)
  })

  it('shows 1.000 in fresh water at its own temperature', () => {
    for (const basis of ['15/15', '17.5/17.5', '20/20', '25/25'] as const) {
      const ownC = Number(basis.split('/')[0])
      expect(readHydrometer(1, basis, ownC).salinityGpkg).toBe(0)
      expect(readHydrometer(1.001, basis, ownC).salinityGpkg).toBeGreaterThan(1)
    }
    expect(BASIS_NAMES).toHaveLength(7)
  })
})

describe('plain salt in a hydrometer', () => {
  // Sodium chloride at 20 °C, Poradnik fizykochemiczny, WNT Warszawa 1974: 1 % 1005.3, 4 % 1026.8 and 6 % 1041.3 kg/m³; its 2 % row
  // contradicts itself (20.250 kg/m³ of salt are 2 % of 1012.5, the row says 1012.2), so the salt's column is taken. The CRC
  // Handbook, from memory, has 1.0196 g/cm³ for 3 %. One share for all is good to 1 %.
  it.each([
    [10, 1005.3],
    [20, 1012.5],
    [30, 1019.6],
    [40, 1026.8],
    [60, 1041.3],
  ])('%s g/kg', (plain, density) => {
    expect(Math.abs(plainSaltGpkg(salinityAtDensity(density, 20)) / plain - 1)).toBeLessThan(0.01)
  })
})

it('35 g/kg is 35.8 to 36 g/L', () => {
  // 35 g/kg × 1.0281 and 1.0217 kg/L, the densities of UNESCO 44 at 0 and 30 °C.
  expect(gplToGpkg(35 * 1.02810633141, 0)).toBeCloseTo(35, 8)
  expect(gplToGpkg(35 * 1.02172863949, 30)).toBeCloseTo(35, 8)
})
