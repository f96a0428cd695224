import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Sample } from '../../../broker/store/contract.ts'
import { ColumnBuilder } from '../../../broker/store/codec/columns.ts'
import { markOf } from '../../../broker/store/codec/mark.ts'
import { bucketWidth, DownSampler } from '../../../broker/store/history/down-sampler.ts'
import { naive, sameColumns } from './naive.ts'

function sample(samples: readonly Sample[], fromMs: number, toMs: number, points: number) {
  const sampler = new DownSampler(fromMs, toMs, points)
  // In two parts, as two chunks that overlap would come.
  for (const half of [0, 1]) {
    const builder = new ColumnBuilder()
    samples.forEach(({ atMs, value, quality }, i) => {
      if (i % 2 === half) builder.push(atMs, value ?? NaN, markOf(quality, value === null))
    })
    sampler.add(builder.build(), { offset: 0 }, fromMs, toMs)
  }
  return sampler.columns()
}

const samples = fc.array(
  fc.record({
    atMs: fc.integer({ min: 0, max: 5000 }),
    value: fc.option(fc.double({ min: -1e6, max: 1e6, noNaN: true }), { freq: 6 }),
    quality: fc.constantFrom('good' as const, 'good' as const, 'good' as const, 'frozen' as const),
  }),
  { maxLength: 200 },
)

describe('the down-sampler', () => {
  it('says what a plain grouping says', () => {
    fc.assert(
      fc.property(
        samples,
        fc.integer({ min: 0, max: 4000 }),
        fc.integer({ min: 1, max: 5000 }),
        fc.integer({ min: 1, max: 60 }),
        (samples, from, span, points) => {
          const columns = sample(samples, from, from + span, points)
          expect(columns.t.length).toBeLessThanOrEqual(points)
          expect(sameColumns(columns, naive(samples, from, from + span, points))).toBe(true)
        },
      ),
      { numRuns: 500 },
    )
  })

  it('gives the same inner buckets when the window moves', () => {
    const samples = Array.from({ length: 3000 }, (_, i): Sample => ({
      atMs: i * 10,
      value: Math.sin(i),
      quality: 'good',
    }))
    const before = sample(samples, 1000, 21_000, 50)
    const after = sample(samples, 1430, 21_430, 50)
    const inner = before.t.slice(2, -2)
    expect(inner.length).toBeGreaterThan(30)
    for (const t of inner) {
      const i = before.t.indexOf(t)
      const j = after.t.indexOf(t)
      expect([after.min[j], after.max[j], after.mean[j]]).toEqual([
        before.min[i],
        before.max[i],
        before.mean[i],
      ])
    }
  })

  it('keeps a spike of one sample among thousands', () => {
    const samples = Array.from({ length: 10_000 }, (_, i): Sample => ({
      atMs: i,
      value: i === 4321 ? 99 : 27,
      quality: 'good',
    }))
    expect(Math.max(...sample(samples, 0, 10_000, 20).max)).toBe(99)
  })

  it('leaves out a bucket without a good value', () => {
    const bad = Array.from({ length: 100 }, (_, i): Sample => ({
      atMs: i,
      value: 85,
      quality: i < 50 ? 'power-on' : 'good',
    }))
    expect(Math.min(...sample(bad, 0, 100, 10).t)).toBe(50)
  })

  it('uses most of the points that it was given', () => {
    for (const hours of [1, 6, 24, 36, 100]) {
      const span = hours * 3_600_000
      expect(span / bucketWidth(span, 1200)).toBeGreaterThan(0.7 * 1200)
      expect(span / bucketWidth(span, 1200) + 1).toBeLessThanOrEqual(1200)
    }
  })
})
