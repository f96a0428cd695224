import { describe, expect, it } from 'vitest'
import type { ComparedBatch } from '../../../broker/web/api/compare.ts'
import { aligned, originS, resampled } from '../../../dashboard/compare/align.ts'
import { lineMark, MOST_DRAWN } from '../../../dashboard/compare/marks.ts'

const HOUR_S = 3600
const curve = (hours: readonly number[], value = (h: number) => h) => ({
  s: hours.map(h => h * HOUR_S),
  v: hours.map(value),
})
const batch = (t10S: number | null, hours: number): ComparedBatch => ({
  batch: {} as ComparedBatch['batch'],
  vesselName: 'Left cone',
  waterC: curve(Array.from({ length: 2 * hours + 1 }, (_, at) => at / 2)),
  airLpm: null,
  lightLx: null,
  hatched: null,
  soakedS: 2 * HOUR_S,
  t10S,
  t90S: null,
  counted: null,
})

describe('batches on one row of moments', () => {
  it('stand over each other at the start, where water was taken up, or at the first tenth', () => {
    expect(originS(batch(15 * HOUR_S, 30), 'start')).toBe(0)
    expect(originS(batch(15 * HOUR_S, 30), 'soaked')).toBe(2 * HOUR_S)
    expect(originS(batch(15 * HOUR_S, 30), 't10')).toBe(15 * HOUR_S)
    const { h, atS } = aligned([batch(10 * HOUR_S, 30), batch(20 * HOUR_S, 36)], 't10')
    expect([h[0], h.at(-1)]).toEqual([-20, 20])
    // At nought each is read at its own first tenth.
    const nought = h.findIndex(at => Math.abs(at) < 0.06)
    expect(atS[0]![nought]! / HOUR_S).toBeCloseTo(10, 0)
    expect(atS[1]![nought]! / HOUR_S).toBeCloseTo(20, 0)
  })
  it('leave out one that never came so far', () => {
    expect(aligned([batch(null, 30), batch(20 * HOUR_S, 36)], 't10').atS[0]).toBeNull()
    expect(aligned([batch(null, 30)], 't10').h).toEqual([])
  })
})

describe('a curve read at other moments', () => {
  it('goes straight between its own, and is nothing outside of them', () => {
    const line = curve([1, 1.5, 2])
    const at = [0.9, 1, 1.25, 2, 2.1].map(h => h * HOUR_S)
    expect(resampled(line, at)).toEqual([null, 1, 1.25, 2, null])
  })
  it('does not bridge a gap', () => {
    const hours = [...Array.from({ length: 11 }, (_, at) => at / 4), 8, 8.25]
    expect(resampled(curve(hours), [2 * HOUR_S, 5 * HOUR_S, 8.25 * HOUR_S])).toEqual([2, null, 8.25])
  })
})

describe('lines that are drawn over each other', () => {
  it('all differ by ink or dash, and neighbours by both', () => {
    const marks = Array.from({ length: MOST_DRAWN }, (_, place) => lineMark(place))
    expect(new Set(marks.map(mark => JSON.stringify(mark))).size).toBe(MOST_DRAWN)
    for (let at = 1; at < 4; at++) {
      expect(marks[at]!.ink).not.toBe(marks[at - 1]!.ink)
      expect(marks[at]!.dash).not.toEqual(marks[at - 1]!.dash)
    }
  })
})
