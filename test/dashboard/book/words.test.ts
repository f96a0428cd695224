import { describe, expect, it } from 'vitest'
import { harvestResult, settleText } from '../../../dashboard/book/harvest-words.ts'
import { notTicked } from '../../../dashboard/book/harvest-steps.ts'
import { drawText, foodText, leftText, untilText } from '../../../dashboard/book/held-words.ts'
import { lotKeepingText } from '../../../dashboard/book/lot-words.ts'

const zone = { locale: 'en-GB', timeZone: 'UTC' }
const NOW_MS = Date.UTC(2026, 10, 25, 6, 40)
const at = (hours: number): string => new Date(NOW_MS + hours * 3_600_000).toISOString()

describe('the countdown', () => {
  it('counts whole seconds down and stops at nothing', () => {
    expect([600_000, 599_001, 60_000, 1, 0, -5000].map(settleText)).toEqual([
      '10:00',
      '10:00',
      '1:00',
      '0:01',
      '0:00',
      '0:00',
    ])
  })
})

describe('before the end', () => {
  const said = (...done: string[]) => notTicked(step => done.includes(step))
  it('names the steps that were not done, and the first of them', () => {
    expect(said('air-off', 'light-below', 'settled')).toEqual({
      words: 'Draw off is not ticked. End all the same?',
      first: 'drawn-off',
    })
    expect(said('light-below').words).toMatch(/^Air off, Settling and Draw off are not ticked/)
  })
  it('asks nothing where all was done: a count and where they went have their own questions', () => {
    expect(said('air-off', 'light-below', 'settled', 'drawn-off')).toEqual({ words: '', first: null })
  })
})

describe('what a harvest gave', () => {
  const band = (best: number) => ({ low: 0.9 * best, best, high: 1.1 * best })
  const count = {
    nauplii: band(200_000),
    hatchPercentage: band(70),
    naupliiPerG: band(100_000),
    words: 'Counted.',
  }
  const expected = (p50: number) => ({ p10: 0.8 * p50, p50, p90: 1.2 * p50 })

  it('is told with its hatching percentage and what a gram gave', () => {
    const { nauplii, lines } = harvestResult(count, null)
    expect(nauplii).toBe('200,000 nauplii')
    expect(lines).toEqual(['Counted.', '70 % of the cysts hatched (63–77).', '100,000 from each gram.'])
    expect(harvestResult({ ...count, hatchPercentage: null }, null).lines).toHaveLength(2)
  })

  it('is as expected only where the number lies within what was expected, and what was expected within its limits', () => {
    const against = (p50: number) => harvestResult(count, expected(p50)).lines.at(-1)
    expect(against(210_000)).toMatch(/^As expected/)
    expect(against(250_000), 'inside of what was open, though its own limits end at 220,000').toBe(
      'Fewer than most likely, within what was left open: 250,000 were expected in the end (200,000–300,000).',
    )
    expect(against(170_000)).toMatch(/^More than most likely, within what was left open: 170,000/)
    expect(against(270_000)).toBe(
      'Fewer than expected, though not surely: 270,000 were expected in the end (216,000–324,000), and this count may mean up to 220,000. Two more samples tell.',
    )
    expect(against(160_000)).toMatch(/^More than expected, though not surely: .* down to 180,000/)
    const seen = harvestResult(
      { ...count, nauplii: { low: 124_000, best: 147_000, high: 173_000 } },
      { p10: 159_000, p50: 255_000, p90: 337_000 },
    )
    expect(seen.lines.at(-1)).toMatch(/^Fewer than expected, though not surely/)
    expect(against(300_000)).toMatch(
      /^Fewer than expected: 300,000 were expected in the end \(240,000–360,000\)/,
    )
    expect(against(120_000)).toMatch(/^More than expected/)
  })
})

describe('a portion in the refrigerator', () => {
  it('says what is left, what it is worth and until when', () => {
    expect(leftText({ left: 80_012 })).toBe('80,000 nauplii')
    expect(leftText({ left: null })).toBe('Not counted')
    expect(foodText({ energyLeft: { p10: 0.8, p50: 0.85, p90: 0.9 } })).toBe(
      'Food value 85 % (80–90) of the newly hatched.',
    )
    expect(untilText({ until: at(5) }, NOW_MS, zone)).toBe('Keeps until 11:40, 5 h more.')
    expect(untilText({ until: at(-1) }, NOW_MS, zone)).toMatch(
      /^Its time was up 05:40: look whether they still swim/,
    )
    expect(drawText({ for: 'fed', nauplii: 40_000 })).toBe('fed 40,000')
    expect(drawText({ for: 'discarded', nauplii: null })).toBe('thrown away all that was left')
  })
})

describe('how a lot is kept', () => {
  const lot = { keptIn: 'refrigerator' as const, openedOn: '2026-11-02', putAwayAt: null }
  const useBy = (from: number, until: number) => ({
    from: at(24 * from),
    until: at(24 * until),
    why: 'opened' as const,
  })

  it('says where, since when, and until when it is to be used', () => {
    const text = (use: ReturnType<typeof useBy> | null) =>
      lotKeepingText({ ...lot, useBy: use }, NOW_MS, zone).replaceAll('\u00a0', ' ')
    expect(text(useBy(3, 10))).toBe(
      'In the refrigerator, opened on 2 Nov. Good until 5 Dec (opened cysts keep 3 to 4 weeks).',
    )
    expect(text(useBy(-2, 5))).toMatch(/Use it by 30 Nov/)
    expect(text(useBy(-9, -1))).toMatch(/Its time was up on/)
    expect(text(null)).toBe('In the refrigerator, opened on 2 Nov.')
    const unknown = { keptIn: null, openedOn: null, useBy: null, putAwayAt: null }
    expect(lotKeepingText(unknown, NOW_MS, zone)).toBe('Nobody said where it is kept.')
    expect(lotKeepingText({ ...unknown, putAwayAt: at(-48) }, NOW_MS, zone)).toMatch(/^Put away on/)
  })
})
