import { describe, expect, it } from 'vitest'
import { expectedThen, LEAD_MS } from '../../broker/room/expected-then.ts'

const MINUTE_MS = 60_000
const HOUR_MS = 60 * MINUTE_MS

/** A vessel of a litre, a reading a minute; at the sixth hour its water begins to climb by 3 °C an hour. */
const t = Array.from({ length: 12 * 60 }, (_, minute) => minute * MINUTE_MS)
const mean = t.map(atMs => 27 + Math.max(0, (atMs - 6 * HOUR_MS) / HOUR_MS) * 3)
const span = { litres: 1, fromMs: 0, toMs: 12 * HOUR_MS }

describe('what was expected of the water', () => {
  const then = expectedThen({ t, mean }, span)
  const waterC = (atMs: number) => mean[Math.floor(atMs / MINUTE_MS)] ?? NaN

  it('holds the water while that goes on as it did, and not when it leaves', () => {
    const holds = then.t.map((atMs, at) => waterC(atMs) >= then.p10[at]! && waterC(atMs) <= then.p90[at]!)
    const steady = then.t.flatMap((atMs, at) => (atMs > 2 * HOUR_MS && atMs < 6 * HOUR_MS ? [holds[at]] : []))
    expect(steady.length).toBeGreaterThan(3)
    expect(steady.every(Boolean)).toBe(true)
    // The first that was made before the climb and is of a moment within it.
    const surprised = then.t.findIndex(atMs => atMs > 6 * HOUR_MS + 20 * MINUTE_MS)
    expect(then.t[surprised]! - LEAD_MS).toBeLessThan(6 * HOUR_MS + 20 * MINUTE_MS)
    expect(holds[surprised]).toBe(false)
  })

  it('was made of what was measured till then alone', () => {
    const half = expectedThen(
      { t: t.slice(0, 361), mean: mean.slice(0, 361) },
      { ...span, toMs: 6 * HOUR_MS },
    )
    expect(half.p50).toEqual(then.p50.slice(0, half.p50.length))
  })

  it('is nothing without water, and bounded however long a batch is', () => {
    expect(expectedThen(undefined, span).t).toEqual([])
    expect(expectedThen({ t, mean }, { ...span, toMs: 30 * 24 * HOUR_MS }).t.length).toBeLessThanOrEqual(60)
  })
})
