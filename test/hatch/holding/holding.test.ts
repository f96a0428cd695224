import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { heldState, meanAgeAtTaking, unknownAgeAtTaking } from '../../../broker/hatch/holding/holding.ts'

const HOUR_MS = 3_600_000

describe('nauplii in the refrigerator', () => {
  it('are worth less the longer and the warmer they are held, and never more than when they were taken', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 10, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.integer({ min: 0, max: 96 }),
        (coldC, energyAtTaking, hours) => {
          const portion = { takenAtMs: 5 * HOUR_MS, coldC, energyAtTaking }
          const now = heldState(portion, (5 + hours) * HOUR_MS).energyLeft
          const later = heldState(portion, (6 + hours) * HOUR_MS).energyLeft
          const warmer = heldState({ ...portion, coldC: coldC + 1 }, (5 + hours) * HOUR_MS).energyLeft
          expect(now.p50).toBeLessThanOrEqual(energyAtTaking)
          expect(later.p50).toBeLessThanOrEqual(now.p50)
          expect(warmer.p50).toBeLessThanOrEqual(now.p50)
          expect(now.p10).toBeLessThanOrEqual(now.p50)
          expect(now.p50).toBeLessThanOrEqual(now.p90)
        },
      ),
    )
  })

  it('are over at the end of their time, not before; a clock behind the taking counts as the taking', () => {
    const portion = { takenAtMs: 0, coldC: 4, energyAtTaking: 0.8 }
    expect(heldState(portion, 48 * HOUR_MS - 1).isOver).toBe(false)
    expect(heldState(portion, 48 * HOUR_MS).isOver).toBe(true)
    expect(heldState(portion, -HOUR_MS)).toMatchObject({ heldH: 0, energyLeft: { p50: 0.8 } })
  })
})

describe('the age of what was taken', () => {
  it('is that of the mean nauplius, who is out later than the first tenth', () => {
    const at = (hours: number | null) => (hours === null ? null : hours * HOUR_MS)
    const age = (first: number | null, taken: number) => meanAgeAtTaking(0, at(first), taken * HOUR_MS)
    // Out at 15 h the first; a spread of 0.142 puts the middle at 15 × e^(1.2816 × 0.142) = 18 h (own reckoning).
    expect(age(15, 22)).toBeCloseTo(22 - 15 * Math.exp(1.2816 * 0.142), 1)
    expect(age(15, 16)).toBeCloseTo(0.5, 9)
    expect(age(15, 14)).toBe(0)
    expect(age(null, 22)).toBeNull()
  })

  it('is never more than its batch can have given: nothing hatches within 4 h', () => {
    const unknown = (hours: number) => unknownAgeAtTaking(0, hours * HOUR_MS)
    expect(unknown(5 / 60)).toBe(0)
    expect(unknown(5)).toBe(1)
    expect(unknown(30)).toBe(6)
    expect(meanAgeAtTaking(0, HOUR_MS, 5 * HOUR_MS)).toBeLessThanOrEqual(1)
  })
})
