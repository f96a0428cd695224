import { describe, expect, it } from 'vitest'
import type { Plan } from '../../../broker/web/api/plan.ts'
import { readCohort, timesOf, timesWords, typedOf } from '../../../dashboard/plan/typed-cohort.ts'
import {
  mealFrom,
  mealSums,
  type Meal,
  lotGivesWords,
  type Names,
  ofTheEnd,
  pastBestWords,
  riskWords,
  summary,
  uncountedWords,
} from '../../../dashboard/plan/words.ts'
import { toDos } from '../../../dashboard/plan/to-do.ts'
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

describe('what is told of a batch', () => {
  it('names the age with the cold in it, and the food value', () => {
    const held = { ...serving('held', 11_000), ageH: 5, coldH: 9, energyLeft: 0.881 }
    expect(mealFrom(meal({ wanted: 10_000, servings: [held] }), names)).toBe(
      'from the refrigerator (14 h old, 9 h of them in the cold, food value 88 %)',
    )
  })

  it('names what a late harvest costs', () => {
    expect(pastBestWords({ hours: 4.2, lost: 0.197 })).toBe(
      '4 h past its best, which costs about 20 % of its food value',
    )
    expect(pastBestWords({ hours: 1, lost: 0.001 })).toMatch(/hardly any/)
    expect(pastBestWords(undefined)).toBe('')
  })

  it('names what hangs on one that an alarm stands on, and what to begin', () => {
    const risk = {
      kind: 'in-danger',
      meals: ['m', 'n'],
      lacking: 0,
      sourceId: 'b',
      remedy: {
        ...{ kind: 'start-spare', vesselId: 'v', lot: 'spring', grams: 0.5, feedingsMet: 1 },
        ready: '2026-11-27T10:00:00.000Z',
      },
    } as Plan['risks'][number]
    const plan = {
      meals: [meal({}), meal({ id: 'n' })],
      running: [{ batchId: 'b', danger: { alarmId: 'a', rule: 'air-fading' } }],
    } as unknown as Plan
    const zone = { locale: 'en-GB', timeZone: 'UTC' }
    const words = (one: Plan['risks'][number]) =>
      riskWords(one, plan, names, Date.parse('2026-11-26T09:00:00Z'), zone).replaceAll('\u00a0', ' ')
    expect(words(risk)).toMatch(
      /^2 feedings of fry, the first 18:00, hang on Left cone: its alarm Air fading stands\. See to that first\. Then start a spare in Left cone, 0\.5 g .* of spring: begun now it is ready tomorrow 10:00, in time for the last of them\.$/,
    )
    expect(words({ ...risk, remedy: { kind: 'harvest-now', vesselId: 'v' } })).toMatch(
      /harvest Left cone now/,
    )
    expect(words({ ...risk, remedy: { kind: 'none' } })).toMatch(/No other vessel is free/)
    const needed = { kind: 'vessel-needed', vesselId: 'v', start: '2026-11-26T21:00:00.000Z' } as const
    expect(words({ ...risk, remedy: needed })).toMatch(
      /Left cone stands empty, but not for long enough for a spare batch: a start is planned in it 21:00\.$/,
    )
  })

  it('says of a harvest whether a feeding that lacks food waits for it, at the moment that the remedy names', () => {
    const at = '2026-11-27T17:30:00.000Z'
    const lacks = { kind: 'too-soon', meals: ['m'], lacking: 9900, sourceId: null } as const
    const told = (risks: readonly unknown[]) => {
      const harvest = { batchId: 'b', vesselId: 'v', at, first: at, nauplii: 260_000, used: 0 }
      const plan = {
        ...{ meals: [meal({ lacking: 9900 })], starts: [], open: [], fed: [], lots: [] },
        running: [{ batchId: 'b', vesselId: 'v', danger: null }],
        harvests: [{ ...harvest, night: false, late: false, act: 'harvest' }],
        risks,
      } as unknown as Plan
      const zoned = { nowMs: Date.parse('2026-11-26T18:10:00Z'), zone: { locale: 'en-GB', timeZone: 'UTC' } }
      const words = plan.risks.map(risk => riskWords(risk, plan, names, zoned.nowMs, zoned.zone))
      return [...words, toDos(plan, names, zoned).find(({ kind }) => kind === 'harvest')?.detail].join(' ')
    }
    const remedy = { kind: 'feed-later', at, sourceId: 'b' }
    expect(told([])).toMatch(/no feeding needs them/)
    expect(told([{ ...lacks, remedy }])).toMatch(
      /Feed at tomorrow 17:30 instead, from Left cone\. .*; a feeding that lacks food can be given from it then, late$/,
    )
  })
})

describe('times of day', () => {
  it('are read as people write them', () => {
    expect(timesOf('8, 18.30')).toEqual(['08:00', '18:30'])
    expect(timesOf('6:00\u202fPM and 8 a.m.')).toEqual(['08:00', '18:00'])
    expect(timesOf('12 am, 12pm')).toEqual(['00:00', '12:00'])
    expect(timesOf('25:00')).toBeNull()
    expect(timesOf('13 pm')).toBeNull()
    expect(timesOf('')).toBeNull()
  })

  it('stand as the person reads a clock, and are read again as they stand', () => {
    for (const locale of ['en-US', 'en-GB', 'de-AT'])
      expect(timesOf(timesWords(['00:00', '08:00', '12:30', '18:00'], { locale }))).toEqual([
        '00:00',
        '08:00',
        '12:30',
        '18:00',
      ])
  })
})

describe('where the figure of a gram comes from', () => {
  it('gives a gram as the lot has it, and beside what is out at a harvest what there is in the end', () => {
    const lot = { id: 'l', name: 'Lot 1', naupliiPerG: 185_600, counted: null }
    expect(lotGivesWords(lot)).toMatch(/^Lot 1: 186,000 nauplii from a gram in the end\./)
    expect(ofTheEnd(692_570, 723_000)).toBe(' out by then, of 720,000 in the end')
    expect(ofTheEnd(692_570, 694_000), 'as good as all').toBe('')
    expect(ofTheEnd(692_570, undefined), 'counted').toBe('')
  })
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
    // 131,000 at 72 % are 182,000 cysts, where 252,678 were counted in a product (see lot.ts).
    const drawn = { ...counted(1, 131_000, 131_000), hatchShare: 0.72 }
    const said = givesBecause({ ...drawn, naupliiPerG: { ...drawn.naupliiPerG, mean: 131_000 } })
    expect(said).toMatch(/By that a gram held 182,000 cysts, fewer than the 253,000 that are published/)
    expect(said).toMatch(/One count may be a slip/)
    const usual = { ...drawn, naupliiPerG: { ...drawn.naupliiPerG, mean: 185_000 } }
    expect(givesBecause(usual)).not.toMatch(/By that a gram/)
    expect(givesBecause(counted(3, 80_000, 120_000))).toMatch(
      /^Counted in 3 batches: 98,000 nauplii from a gram in the mean \(80,000–120,000\)\./,
    )
    expect(givesBecause(counted(3, 0, 120_000))).toMatch(/\(0–120,000, failed ones among them\)/)
  })
})

describe('what hangs on a lot that was never counted', () => {
  const zone = { locale: 'en-GB', timeZone: 'UTC' }
  const planOf = (uncounted?: { least: number; most: number }) =>
    ({
      cohorts: [{}],
      vessels: [{}],
      starts: [],
      until: '2026-11-27T18:00:00.000Z',
      meals: [meal({ servings: [serving('running', 10_000)] })],
      harvests: [{ batchId: 'running', ...(uncounted ? { uncounted } : {}) }],
      nightStarts: 0,
      nightHarvests: 0,
    }) as unknown as Plan
  const nowMs = Date.parse('2026-11-26T12:00:00.000Z')
  it('shows its range, and doubt over the whole of it', () => {
    const range = { least: 418_000, most: 923_000 }
    expect(uncountedWords(range)).toBe(' (420,000 to 920,000; this lot was never counted)')
    expect(uncountedWords(undefined)).toBe('')
    expect(summary(planOf(range), nowMs, zone)).toMatch(/are met, if a lot that was never counted gives/)
    expect(summary(planOf(), nowMs, zone)).toMatch(/are met: nothing has to be started/)
  })
})

describe('times that are no times', () => {
  it('are refused in the form of time that the hint beside them has', () => {
    for (const locale of ['en-US', 'en-GB']) {
      const typed = { ...typedOf(null, 0, { locale }), name: 'Fry', fry: '10', perFry: '5', times: 'noonish' }
      const read = readCohort(typed, 0, Number, { locale })
      const like = timesWords(['08:00', '18:00'], { locale })
      expect('wrong' in read && [...read.wrong]).toEqual([['times', `Write times like ${like}`]])
    }
  })
})
