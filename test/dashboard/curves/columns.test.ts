import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  append,
  emptyColumns,
  gapMs,
  growing,
  plotData,
  summarise,
  trim,
} from '../../../dashboard/curves/columns.ts'

const filled = (...points: [atMs: number, value: number][]) => {
  const columns = emptyColumns()
  for (const [atMs, value] of points) append(columns, atMs, value, 10_000)
  return columns
}

describe('append', () => {
  it('keeps least, greatest and mean of what falls into one bucket', () => {
    const columns = filled([0, 20], [4_000, 26], [9_999, 23], [10_000, 21])
    expect(columns.t).toEqual([0, 10_000])
    expect(columns.min).toEqual([20, 21])
    expect(columns.max).toEqual([26, 21])
    expect(columns.mean).toEqual([23, 21])
  })
  it('passes over what is not new', () => {
    const columns = filled([50_000, 20], [50_000, 99], [10_000, 99])
    expect(columns.t).toEqual([50_000])
    expect(columns.max).toEqual([20])
  })
  it('never holds more buckets than the time has, and its times always rise', () => {
    fc.assert(
      fc.property(fc.array(fc.nat(100_000), { maxLength: 200 }), times => {
        const columns = filled(...times.map((at): [number, number] => [at, at]))
        expect(columns.t.length).toBeLessThanOrEqual(11)
        for (let index = 1; index < columns.t.length; index++)
          expect(columns.t[index]).toBeGreaterThan(columns.t[index - 1] as number)
      }),
    )
  })
})

describe('gaps', () => {
  it('are what is well beyond the usual step', () => {
    const t = [0, 60_000, 120_000, 180_000]
    expect(gapMs(t, 1_000)).toBe(210_000)
    expect(gapMs([], 400_000)).toBe(1_400_000)
  })
  it('get a null between, so that the line breaks', () => {
    const columns = filled([0, 20], [10_000, 21], [400_000, 22])
    const [x, mean, min, max] = plotData(columns, 60_000, value => value * 2)
    expect(x).toEqual([0, 10, 205, 400])
    expect(mean).toEqual([40, 42, null, 44])
    expect(min[2]).toBeNull()
    expect(max[3]).toBe(44)
  })
})

it('trim keeps one bucket before the window, so that the line enters from the left', () => {
  const columns = filled([0, 1], [20_000, 2], [40_000, 3], [60_000, 4])
  trim(columns, 45_000)
  expect(columns.t).toEqual([40_000, 60_000])
  expect(columns.mean).toEqual([3, 4])
  trim(columns, 9e9)
  expect(columns.t).toEqual([60_000])
})

it('summarise counts only what lies in the span', () => {
  const columns = growing({ t: [0, 10, 20], min: [1, 2, 3], max: [9, 5, 4], mean: [5, 3, 3.5] })
  expect(summarise(columns, 5, 25)).toEqual({ least: 2, greatest: 5, mean: 3.25 })
  expect(summarise(columns, 100, 200)).toBeNull()
})
