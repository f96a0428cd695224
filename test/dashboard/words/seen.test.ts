import { describe, expect, it } from 'vitest'
import type { BatchEvent } from '../../../broker/web/api/events.ts'
import {
  countedText,
  estimateText,
  harvestCount,
  naupliiByCount,
  seenText,
  standingFirst,
  tooManyText,
} from '../../../dashboard/words/seen.ts'
import { HOUR_MS, iso, NOW_MS } from '../room.ts'

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
    expect(seenText({ ...kept('e'), kind: 'count', harvest: true, estimate: null, samples })).toMatch(
      /^Counted 2 samples at the harvest: 211/,
    )
  })
  it('says what was counted in some samples only', () => {
    const samples = [
      { sampleMl: 1, nauplii: 60 },
      { sampleMl: 1, nauplii: 70, umbrella: 4, embryos: 0 },
    ]
    expect(countedText(samples)).toBe(
      '130 nauplii, 4 umbrellas (of one sample), 0 unhatched (of one sample) in 2 mL',
    )
    expect(countedText([...samples, { sampleMl: 1, nauplii: 65, umbrella: 2 }])).toMatch(
      /6 umbrellas \(of 2 samples\)/,
    )
  })
  it('takes a zero for a count', () => {
    expect(countedText([{ sampleMl: 1, nauplii: 0 }])).toBe('0 nauplii in 1 mL')
  })
})

describe('the number in the vessel by a count', () => {
  it('is that of the sample, times its dilution, times the vessel', () => {
    expect(naupliiByCount([{ sampleMl: 1, nauplii: 200 }], { litres: 1.5 })).toBe(300_000)
    expect(naupliiByCount([{ sampleMl: 1, dilution: 10, nauplii: 20 }], { litres: 1.5 })).toBeCloseTo(
      300_000,
      6,
    )
  })
  it('is what was drawn off alone, where that was sampled', () => {
    expect(naupliiByCount([{ sampleMl: 1, nauplii: 200 }], { litres: 2, drawnOffMl: 250 })).toBeCloseTo(
      50_000,
      6,
    )
  })
  it('weighs samples by the water that they held', () => {
    const pooled = [
      { sampleMl: 3, nauplii: 630 },
      { sampleMl: 1, nauplii: 170 },
    ]
    expect(naupliiByCount(pooled, { litres: 1 })).toBe(200_000)
    expect(naupliiByCount([], { litres: 1 })).toBeNull()
  })
})

describe('what a count says of the vessel', () => {
  it('is the best with its limits, as finely as it is known', () =>
    expect(estimateText({ low: 210_123, best: 231_004, high: 253_850 })).toBe(
      '231,000 nauplii (210,000–254,000, 95 in 100)',
    ))
  it('is doubted when it is more than the dose can give', () => {
    // 200,000 to 300,000 nauplii a gram: Treece 2000, SRAC Publication 702.
    const counted = (nauplii: number) => tooManyText([{ sampleMl: 1, nauplii }], { litres: 1 }, 2)
    expect(counted(600)).toBe('')
    expect(counted(960)).toMatch(/^That would be 480,000 nauplii from each gram of cysts/)
    expect(tooManyText([], { litres: 1 }, 2)).toBe('')
  })
  it('is told of a past batch by its last count at the harvest that stands', () => {
    const samples = [{ sampleMl: 1, nauplii: 200 }]
    const count = (id: string, harvest: boolean, hour: number, back = false): BatchEvent => ({
      ...kept(id, back ? iso(NOW_MS) : null),
      at: iso(NOW_MS + hour * HOUR_MS),
      kind: 'count',
      harvest,
      estimate: null,
      samples,
    })
    const log = [
      count('late', true, 3),
      count('first', true, 1),
      count('look', false, 5),
      count('slip', true, 6, true),
    ]
    expect(harvestCount(log)?.id).toBe('late')
    expect(harvestCount([count('look', false, 5)])).toBeNull()
  })
})

it('finds the first swimmers that stand, not those taken back', () => {
  const back: BatchEvent = { ...kept('e1', iso(NOW_MS)), kind: 'first-swimmers' }
  const stands: BatchEvent = { ...kept('e2'), kind: 'first-swimmers' }
  const note: BatchEvent = { ...kept('e3'), kind: 'note', text: 'ring down' }
  expect(standingFirst([note, back])).toBeNull()
  expect(standingFirst([note, back, stands])).toBe(stands)
})
