import { describe, expect, it } from 'vitest'
import { energyInCold, heldState } from '../../../broker/hatch/holding/holding.ts'
import { ageWords, naupliiAge } from '../../../broker/hatch/holding/nauplii-age.ts'

describe('the age of nauplii', () => {
  it('is one, with how much of it was cold', () => {
    expect(naupliiAge(5, 9)).toEqual({ ageH: 14, coldH: 9 })
    expect(ageWords(naupliiAge(5, 9))).toBe('14 h old, 9 h of them in the cold')
    expect(ageWords(naupliiAge(5.4, 0.2))).toBe('5 h old')
    expect(ageWords(naupliiAge(3, -1))).toBe('3 h old')
  })

  it('adds up as it is told, whatever the fractions', () => {
    expect(ageWords(naupliiAge(5.4, 8.4))).toBe('13 h old, 8 h of them in the cold')
  })

  it('costs in the cold what is published of a warm day, slowed by the Q10', () => {
    // 22 to 37 % in 24 h at hatching temperature (Vanhaecke, Lavens & Sorgeloos 1983), Q10 1.9 (Varó et al. 1998): at 27 °C a day is a day.
    expect(energyInCold(1, 24, 27)).toMatchObject({ p10: 1 - 0.37, p90: 1 - 0.22 })
    expect(energyInCold(1, 24, 7).p50).toBeCloseTo((1 - 0.295) ** (1 / 1.9 ** 2), 6)
    const portion = { takenAtMs: 0, coldC: 4, energyAtTaking: 0.9 }
    expect(heldState(portion, 9 * 3_600_000).energyLeft).toEqual(energyInCold(0.9, 9, 4))
  })
})
