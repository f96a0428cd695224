import { describe, expect, it } from 'vitest'
import type { BatchEvent } from '../../../broker/web/api/events.ts'
import { countedText, naupliiByCount, seenText, standingFirst } from '../../../dashboard/words/seen.ts'
import { iso, NOW_MS } from '../room.ts'

const kept = (id: string, withdrawnAt: string | null = null) => ({
  id,
  batchId: 'b1',
  at: iso(NOW_MS),
  recordedAt: iso(NOW_MS),
  by: 'Ada',
  withdrawnAt,
})

describe('what was seen, in a line', () => {
  it('leaves out what nobody counted, and sums the samples', () => {
    expect(countedText([{ sampleMl: 1, nauplii: 210 }])).toBe('210 nauplii in 1 mL')
    const samples = [
      { sampleMl: 0.25, nauplii: 100, umbrella: 0, embryos: 12 },
      { sampleMl: 0.25, nauplii: 111, umbrella: 1, embryos: 9 },
    ]
    expect(countedText(samples)).toBe('211 nauplii, 1 umbrella, 21 unhatched in 0.5 mL')
    expect(seenText({ ...kept('e'), kind: 'count', harvest: true, samples })).toMatch(
      /^Counted 2 samples at the harvest: 211/,
    )
  })
  it('takes a zero for a count', () => {
    expect(countedText([{ sampleMl: 1, nauplii: 0 }])).toBe('0 nauplii in 1 mL')
  })
})

describe('the number in the vessel by a count', () => {
  it('is that of the sample, times its dilution, times the vessel', () => {
    expect(naupliiByCount([{ sampleMl: 1, nauplii: 200 }], 1.5)).toBe(300_000)
    expect(naupliiByCount([{ sampleMl: 1, dilution: 10, nauplii: 20 }], 1.5)).toBeCloseTo(300_000, 6)
  })
  it('weighs samples by the water that they held', () => {
    const pooled = [
      { sampleMl: 3, nauplii: 630 },
      { sampleMl: 1, nauplii: 170 },
    ]
    expect(naupliiByCount(pooled, 1)).toBe(200_000)
    expect(naupliiByCount([], 1)).toBeNull()
  })
})

it('finds the first swimmers that stand, not those taken back', () => {
  const back: BatchEvent = { ...kept('e1', iso(NOW_MS)), kind: 'first-swimmers' }
  const stands: BatchEvent = { ...kept('e2'), kind: 'first-swimmers' }
  const note: BatchEvent = { ...kept('e3'), kind: 'note', text: 'ring down' }
  expect(standingFirst([note, back])).toBeNull()
  expect(standingFirst([note, back, stands])).toBe(stands)
})
