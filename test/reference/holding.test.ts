import { describe, expect, it } from 'vitest'
import { heldState, holdHours, paceInCold } from '../../broker/hatch/holding/holding.ts'

const HOUR_MS = 3_600_000
const at = (coldC: number, hours: number) =>
  heldState({ takenAtMs: 0, coldC, energyAtTaking: 1 }, hours * HOUR_MS)

describe('held nauplii against published values', () => {
  it('keeps them 48 h at 2 to 4 °C (J. Biol. Res. 2005) and 24 h below 10 °C (Ghent course)', () => {
    expect([2, 4].map(holdHours)).toEqual([48, 48])
    expect([4.1, 10].map(holdHours)).toEqual([24, 24])
    expect([10.1, 20, NaN, Infinity].map(holdHours)).toEqual([0, 0, 0, 0])
  })

  it('takes Q10 1.9 (Varó et al. 1998) between two temperatures 10 °C apart', () => {
    expect(paceInCold(10) / paceInCold(0)).toBeCloseTo(1.9, 10)
  })

  it('loses what is published in a day at hatching temperature: 22 to 37 % (Vanhaecke, Lavens & Sorgeloos 1983)', () => {
    const { energyLeft } = at(27, 24)
    expect(energyLeft.p90).toBeCloseTo(1 - 0.22, 10)
    expect(energyLeft.p10).toBeCloseTo(1 - 0.37, 10)
  })

  it('loses little in a day at 4 °C: under 10 %, where secondary sources say less than 5 % (from memory)', () => {
    const { energyLeft } = at(4, 24)
    expect(1 - energyLeft.p50).toBeLessThan(0.1)
    expect(1 - energyLeft.p90).toBeLessThan(0.06)
    expect(energyLeft.p10).toBeLessThan(energyLeft.p50)
  })
})
