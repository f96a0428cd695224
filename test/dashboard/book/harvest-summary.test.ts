import { describe, expect, it } from 'vitest'
import type { BatchEvent } from '../../../broker/web/api/events.ts'
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
  hatchPercentage: null,
}
const share = { hatchPercentage: { low: 60, best: 64, high: 68 } }
const expected = {
  naupliiBefore: { p10: 80_000, p50: 100_000, p90: 120_000 },
  hatchShareBefore: { p10: 0.55, p50: 0.72, p90: 0.85 },
}

describe('the end of a harvest', () => {
  it('says the number with its limits, the share against what is expected, and where all of it went', () => {
    const events = [taken({}), taken({ for: 'held', nauplii: 56_000, share: 0.6, coldC: 4 })]
    // 48 h at up to 4 °C (J. Biol. Res. 2005).
    expect(harvestSummary({ count: counted, share, expected, events }, NOW_MS, zone)).toEqual({
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
  it('makes nothing up where nobody counted or wrote down', () => {
    const gone = taken({ withdrawnAt: at })
    expect(
      harvestSummary({ count: null, share: null, expected: null, events: [gone] }, NOW_MS, zone),
    ).toEqual({
      number: 'Nobody counted it',
      lines: ['Which share of the cysts hatched was not counted.'],
      taken: ['Where the nauplii went was not written down.'],
    })
  })
})
