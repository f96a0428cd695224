import { describe, expect, it } from 'vitest'
import { mealFrom, mealSums, type Meal, type Names } from '../../../dashboard/plan/words.ts'
import { givesBecause } from '../../../dashboard/words/lot.ts'

const names: Names = {
  vessel: () => 'Left cone',
  cohort: () => 'fry',
  source: kind => (kind === 'held' ? 'the refrigerator' : 'Left cone'),
}
const serving = (source: 'held' | 'running', nauplii: number): Meal['servings'][number] => ({
  source,
  sourceId: source,
  nauplii,
  ageH: 4,
  coldH: 0,
  tight: false,
})
const meal = (part: Partial<Meal>): Meal => ({
  id: 'm',
  cohortId: 'c',
  at: '2026-11-26T18:00:00.000Z',
  nauplii: 10_000,
  limitH: 24,
  wanted: 11_000,
  lacking: 0,
  servings: [],
  ...part,
})

describe('a feeding', () => {
  it('says of how many, from where, and how many are to spare, so that they add up', () => {
    const two = meal({ servings: [serving('held', 2_913), serving('running', 8_087)] })
    expect(mealFrom(two, names)).toBe(
      '11,000 with the spare: 2,900 from the refrigerator (4 h old) and 8,100 from Left cone (4 h old); 1,000 of them to spare',
    )
    expect(mealFrom(meal({ servings: [serving('held', 11_000)] }), names)).toBe(
      '11,000 with the spare: from the refrigerator (4 h old); 1,000 of them to spare',
    )
    expect(mealFrom(meal({ wanted: 10_000, servings: [serving('held', 10_000)] }), names)).toBe(
      'from the refrigerator (4 h old)',
    )
  })

  it('says what is lacking of the whole', () => {
    const short = meal({ servings: [serving('held', 2_900)], lacking: 8_100 })
    expect(mealFrom(short, names)).toBe(
      '11,000 with the spare: 2,900 from the refrigerator (4 h old); 8,100 lacking',
    )
  })

  it('adds up whatever the numbers are', () => {
    for (let seed = 1; seed < 400; seed++) {
      const a = (seed * 7919) % 50_021
      const b = (seed * 104_729) % 30_011
      const lacking = seed % 3 === 0 ? (seed * 31) % 9_973 : 0
      const wanted = a + b + lacking
      const sums = mealSums({
        wanted,
        nauplii: wanted / 1.1,
        lacking,
        servings: [serving('held', a), serving('running', b)],
      })
      const told = sums.parts.reduce((sum, part) => sum + part, 0) + sums.lacking
      expect(told).toBeCloseTo(sums.whole, 6)
      expect(Math.abs(sums.whole - wanted)).toBeLessThanOrEqual(Math.max(1, wanted / 100))
      expect(sums.fed).toBeLessThanOrEqual(sums.whole)
    }
  })
})

describe('where the figure of a gram comes from', () => {
  it('tells what was counted from what is published', () => {
    expect(givesBecause(null)).toMatch(/published for new lots/)
    const counted = (batches: number, least: number, most: number) => ({
      batches,
      naupliiPerG: { mean: 98_000, least, most },
      hatchShare: null,
    })
    expect(givesBecause(counted(1, 98_000, 98_000))).toMatch(
      /^Counted in one batch: 98,000 nauplii from a gram\. One count may be a slip/,
    )
    expect(givesBecause(counted(3, 80_000, 120_000))).toMatch(
      /^Counted in 3 batches: 98,000 nauplii from a gram in the mean \(80,000–120,000\)\./,
    )
    expect(givesBecause(counted(3, 0, 120_000))).toMatch(/\(0–120,000, failed ones among them\)/)
  })
})
