import { describe, expect, it } from 'vitest'
import { hourScale, hoursBand, lotText, shareBand } from '../../../dashboard/words/lot.ts'

const plain = (text: string) => text.replaceAll('\u00a0', ' ')

describe('what is known of a lot', () => {
  it('asks for a count where nothing was ever seen, and says what the times lean on elsewhere', () => {
    expect(lotText({ name: 'spring', batches: 1, observations: 0 })).toMatch(
      /^Lot spring was never counted: the times are rough/,
    )
    expect(lotText({ name: 'Lot A', batches: 1, observations: 0 })).toMatch(/^Lot A was never/)
    expect(lotText({ name: null, batches: 0, observations: 0 })).toMatch(/no lot written down/)
    expect(lotText({ name: 'spring', batches: 3, observations: 5 })).toMatch(
      /5 things were seen in 3 batches/,
    )
    expect(lotText({ name: 'spring', batches: 1, observations: 1 })).toMatch(
      /one thing was seen in one batch/,
    )
  })
  it('has its bands beside it, unless they are closed', () => {
    expect(plain(hoursBand({ p10: 19.4, p50: 24, p90: 33.1 }))).toBe('24 h (19–33)')
    expect(plain(hoursBand({ p10: 5, p50: 6.2, p90: 8 }))).toBe('6.2 h (5.0–8.0)')
    expect(plain(hoursBand({ p10: 23.9, p50: 24, p90: 24.1 }))).toBe('24 h')
    expect(plain(shareBand({ p10: 0.7, p50: 0.78, p90: 0.85 }))).toBe('78 % (70–85)')
  })
})

describe('the scale of hours', () => {
  const lot = (p10: number, p90: number) => ({ hoursToHalf: { p10, p50: (p10 + p90) / 2, p90 } })
  it('holds every lot, in whole steps', () => {
    const { from, to, marks } = hourScale([lot(9, 20), lot(15, 44)])
    expect(from).toBeLessThanOrEqual(9)
    expect(to).toBeGreaterThanOrEqual(44)
    expect(marks[0]?.at).toBe(from)
    expect(marks.length).toBeLessThanOrEqual(8)
  })
})
