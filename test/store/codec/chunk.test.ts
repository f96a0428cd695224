import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Quality } from '../../../broker/intake/reading.ts'
import { CHUNK_SAMPLES, packChunk, packChunks, unpackChunk } from '../../../broker/store/codec/chunk.ts'
import { ColumnBuilder, type Columnar } from '../../../broker/store/codec/columns.ts'
import { isMissing, markOf, qualityOf } from '../../../broker/store/codec/mark.ts'

interface One {
  readonly at: number
  readonly value: number | null
  readonly quality: Quality
}

const quality = fc.constantFrom(...Object.values(Quality))
/** What sensors send, what arithmetic makes of it, and everything else that a double can be. */
const value = fc.oneof(
  fc.integer({ min: -880, max: 2000 }).map(count => count * 0.0625),
  fc.integer({ min: 0, max: 100_000 }).map(count => count / 1000),
  fc.integer({ min: 0, max: 65_535 }).map(count => count / 1.2),
  fc.constantFrom(
    0,
    -0,
    NaN,
    Infinity,
    -Infinity,
    Number.MIN_VALUE,
    Number.MAX_VALUE,
    2 ** 50,
    -(2 ** 50),
    2 ** 53,
  ),
  fc.double(),
)
const at = fc.oneof(
  fc.integer({ min: 1_700_000_000_000, max: 1_700_000_100_000 }),
  fc.constantFrom(0, 2 ** 51),
  fc.integer({ min: 0, max: 2 ** 51 }),
)
const one = fc.record({ at, value: fc.option(value, { freq: 8 }), quality })
const someValue = fc.oneof(
  fc.array(one, { minLength: 1, maxLength: 300 }),
  // Of one kind, as a probe sends: the dense ways of packing are taken only then.
  fc
    .record({
      step: fc.constantFrom(0.0625, 0.001, 1, 1 / 1.2),
      counts: fc.array(fc.integer({ min: -5e6, max: 5e6 }), { minLength: 1, maxLength: 300 }),
    })
    .map(({ step, counts }) =>
      counts.map((count, i): One => ({ at: i * 1000, value: count * step, quality: 'good' })),
    ),
)

function columns(samples: readonly One[]): Columnar {
  const builder = new ColumnBuilder()
  for (const { at, value, quality } of samples)
    builder.push(at, value ?? NaN, markOf(quality, value === null))
  return builder.build()
}

function list({ at, value, mark }: Columnar): One[] {
  return Array.from(at, (ms, i) => ({
    at: ms,
    value: isMissing(mark[i]!) ? null : value[i]!,
    quality: qualityOf(mark[i]!),
  }))
}

describe('a chunk', () => {
  it('gives back what was packed, whatever the doubles, the times and the qualities', () => {
    fc.assert(
      fc.property(someValue, samples => {
        const sorted = [...samples].sort((a, b) => a.at - b.at)
        const chunk = packChunk(columns(sorted))
        expect(chunk).toMatchObject({ fromMs: sorted[0]!.at, toMs: sorted.at(-1)!.at, count: sorted.length })
        // toEqual would take 0 for -0 no more than it takes NaN for NaN: it compares as Object.is does.
        expect(list(unpackChunk(chunk))).toEqual(sorted)
      }),
      { numRuns: 400 },
    )
  })

  it('gives back what was packed when it is full and when it is one more', () => {
    for (const count of [1, 63, 64, 65, CHUNK_SAMPLES, CHUNK_SAMPLES + 1]) {
      const samples = Array.from({ length: count }, (_, i): One => ({
        at: i * i,
        value: i % 7,
        quality: 'good',
      }))
      const chunks = packChunks(columns(samples))
      expect(chunks.length).toBe(Math.ceil(count / CHUNK_SAMPLES))
      expect(chunks.flatMap(chunk => list(unpackChunk(chunk)))).toEqual(samples)
    }
  })

  it('takes under half a byte for a value that stands still, gaps and all', () => {
    const still = Array.from({ length: 1000 }, (_, i): One => ({
      at: (i + (i > 500 ? 3600 : 0)) * 1000,
      value: 27.0625,
      quality: 'good',
    }))
    expect(packChunk(columns(still)).body.length).toBeLessThan(500)
  })

  it('refuses bytes that it did not make', () => {
    const chunk = packChunk(columns([{ at: 5, value: 1.5, quality: 'good' }]))
    for (const body of [new Uint8Array(), Uint8Array.of(9), chunk.body.subarray(0, chunk.body.length - 1)]) {
      expect(() => unpackChunk({ ...chunk, body })).toThrow(RangeError)
    }
  })

  it('has a place for every quality', () => {
    for (const each of Object.values(Quality)) {
      for (const missing of [true, false]) {
        expect(qualityOf(markOf(each, missing))).toBe(each)
        expect(isMissing(markOf(each, missing))).toBe(missing)
      }
    }
  })
})
