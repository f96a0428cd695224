import { describe, expect, it } from 'vitest'
import { NEVER_BEFORE_H } from '../../../broker/hatch/development/earliest-hatch.ts'
import { harvestResult } from '../../../dashboard/book/harvest-words.ts'
import { tooSoonCountText, tooSoonText } from '../../../dashboard/words/too-soon.ts'

const START_MS = Date.UTC(2026, 10, 25, 6)
const batch = { startedAt: new Date(START_MS).toISOString() }
const after = (hours: number) => START_MS + hours * 3_600_000
const hatched = (p90: number) => ({ hatchedNow: { p10: 0, p50: p90 / 2, p90 } })

describe('a batch that is harvested too soon', () => {
  it('is asked about while nothing of it can have hatched, whatever is forecast', () => {
    expect(tooSoonText(batch, hatched(0.9), after(5 / 60))).toBe(
      'This batch is 5 min old: nothing of it can have hatched yet. Is it the right one?',
    )
    expect(tooSoonText(batch, null, after(NEVER_BEFORE_H) - 1)).not.toBe('')
  })

  it('is asked about while hardly any can be out by the model, and not where somebody saw them swim', () => {
    expect(tooSoonText(batch, hatched(0.005), after(9))).toMatch(/^This batch is 9 h old, and hardly any/)
    expect(tooSoonText(batch, { ...hatched(0), firstSeenAt: batch.startedAt }, after(9))).toBe('')
    expect(tooSoonText(batch, hatched(0.3), after(14))).toBe('')
    expect(tooSoonText(batch, null, after(14))).toBe('')
  })

  it('is told of in its counts; none counted is no doubt', () => {
    expect(tooSoonCountText(batch, 24, after(5 / 60))).toMatch(/^Nothing of this batch could .*its lot\.$/)
    // What was read once is not asked again a minute later.
    expect(tooSoonCountText(batch, 24, after(6 / 60))).toBe(tooSoonCountText(batch, 24, after(5 / 60)))
    expect(tooSoonCountText(batch, 0, after(5 / 60))).toBe('')
    expect(tooSoonCountText(batch, 24, after(NEVER_BEFORE_H))).toBe('')
  })

  it('is not measured by what was expected', () => {
    const band = (best: number) => ({ low: 0.9 * best, best, high: 1.1 * best })
    const count = { nauplii: band(8000), hatchPercentage: null, naupliiPerG: band(4000), words: 'Counted.' }
    const expected = { p10: 150_000, p50: 200_000, p90: 250_000 }
    expect(harvestResult(count, expected).lines.join(' ')).toMatch(/Fewer than expected/)
    expect(harvestResult({ ...count, tooSoon: true }, expected).lines.join(' ')).not.toMatch(/expected/)
    expect(harvestResult({ ...count, tooSoon: true }, expected).lines.join(' ')).toMatch(/towards its lot/)
  })
})
