import { describe, expect, it } from 'vitest'
import type { BatchEvent } from '../../../broker/web/api/events.ts'
import type { Dispersion } from '../../../broker/hatch/counts/dispersion.ts'
import { estimateWords } from '../../../broker/hatch/counts/estimate-words.ts'
import type { Interval } from '../../../broker/hatch/counts/interval.ts'
import type { MoreSamples } from '../../../broker/hatch/counts/precision.ts'
import { leftQuestion } from '../../../dashboard/book/harvest-words.ts'
import { harvestSummary } from '../../../dashboard/book/harvest-summary.ts'

const zone = { locale: 'en-GB', timeZone: 'UTC' }
const NOW_MS = Date.UTC(2026, 10, 25, 6, 40)
const at = new Date(NOW_MS).toISOString()

const taken = (change: Partial<Extract<BatchEvent, { kind: 'taken' }>>): BatchEvent => ({
  id: 'e',
  batchId: 'b',
  by: 'me',
  kind: 'taken',
  for: 'fed',
  nauplii: 40_000,
  share: 0.4,
  coldC: null,
  energyLeft: null,
  firstOutAt: null,
  at,
  recordedAt: at,
  withdrawnAt: null,
  ...change,
})
const counted = {
  nauplii: { low: 86_000, best: 96_000, high: 107_000 },
  hatchPercentage: { low: 60, best: 64, high: 68 },
  stirred: null,
}
const expected = {
  naupliiBefore: { p10: 80_000, p50: 100_000, p90: 120_000 },
  hatchShareBefore: { p10: 0.55, p50: 0.72, p90: 0.85 },
}

describe('the end of a harvest', () => {
  it('says the number with its limits, the share against what is expected, and where all of it went', () => {
    const events = [taken({}), taken({ for: 'held', nauplii: 56_000, share: 0.6, coldC: 4 })]
    // 48 h at up to 4 °C (J. Biol. Res. 2005).
    expect(harvestSummary({ count: counted, expected, events }, NOW_MS, zone)).toEqual({
      number: '96,000 nauplii (86,000–107,000)',
      lines: [
        '100,000 were expected in the end (80,000–120,000).',
        '64\u00a0% of the cysts hatched, as counted (60–68); 72\u00a0% were expected of its lot (55–85).',
      ],
      taken: [
        'Fed 40,000 nauplii, 40 %.',
        'Put in the cold 56,000 nauplii, 60 %. They keep until Fri 06:40, 2 days more.',
      ],
    })
  })
  it('pieces the stirred vessel and what was drawn off together, and says what stayed behind', () => {
    const drawn = (best: number) => ({ low: 0.9 * best, best, high: 1.1 * best })
    const against = (best: number, held: number) => {
      const count = { ...counted, nauplii: drawn(best), stirred: drawn(held) }
      return harvestSummary({ count, expected: null, events: [] }, NOW_MS, zone).lines
    }
    expect(against(60_000, 100_000)).toEqual([
      'That is 60\u00a0% of what was there, for the stirred vessel was counted at 100,000: the rest stayed behind, or was lost on the way.',
      '64\u00a0% of the cysts hatched, as counted (60–68).',
    ])
    expect(against(95_000, 100_000)[0]).toBe(
      'All of it was drawn off, as far as counts can tell: the stirred vessel was counted at 100,000.',
    )
    expect(against(150_000, 100_000)[0]).toMatch(/^That is more than was there, .* millilitres/)
  })
  it('says the limits as they were said while it was counted', () => {
    const nauplii = { low: 568_600, best: 657_000, high: 756_400 }
    const { number } = harvestSummary(
      { count: { nauplii, hatchPercentage: null, stirred: null }, expected: null, events: [] },
      NOW_MS,
      zone,
    )
    const enough = { n: 0, forPrecision: 0.1, worstCase: false } as unknown as MoreSamples
    const mixed = { verdict: 'mixed', index: 1, freedom: 2 } as unknown as Dispersion
    expect(number).toBe('657,000 nauplii (568,000–757,000)')
    expect(estimateWords(nauplii as Interval, enough, mixed)).toContain('568,000-757,000')
  })
  it('asks for what is left before the end, and for nothing where three thirds are written down', () => {
    expect(leftQuestion(0.4, 657_000)).toBe(
      '40\u00a0% of the harvest are left, some 263,000 nauplii: kept cold, fed, or thrown away?',
    )
    expect(leftQuestion(1, null)).toBe('100\u00a0% of the harvest are left: kept cold, fed, or thrown away?')
    expect(leftQuestion(0.01, 657_000)).toBe('')
  })
  it('makes nothing up where nobody counted or wrote down', () => {
    const gone = taken({ withdrawnAt: at })
    expect(harvestSummary({ count: null, expected: null, events: [gone] }, NOW_MS, zone)).toEqual({
      number: 'Nobody counted it',
      lines: ['Which share of the cysts hatched was not counted.'],
      taken: ['Where the nauplii went was not written down.'],
    })
  })
})
