import { describe, expect, it } from 'vitest'
import { Quality } from '../../broker/intake/reading.ts'
import { BatchForecast } from '../../broker/room/batch-forecast.ts'
import type { BatchRow } from '../../broker/store/contract.ts'

const HOUR_MS = 3_600_000
const EVERY_MS = 5000
const batch: BatchRow = {
  id: 'b1',
  vesselId: 'v1',
  startedAtMs: 0,
  endedAtMs: 34 * HOUR_MS,
  litres: 1,
  cystsG: 2,
  salinityGpl: 25,
  lot: null,
  goal: 'balanced',
  note: null,
}
/** Water that warms up, swings with the day and once runs 4 °C hot for two hours. */
const waterC = (atMs: number) =>
  27 -
  4 * Math.exp(-atMs / HOUR_MS) +
  0.8 * Math.sin((atMs / HOUR_MS / 24) * 2 * Math.PI) +
  (atMs > 9 * HOUR_MS && atMs < 11 * HOUR_MS ? 4 : 0)

/** Fed with the means of buckets of so many readings. */
function fed(readings: number): BatchForecast {
  const made = new BatchForecast(batch)
  for (let fromMs = 0; fromMs < 34 * HOUR_MS; fromMs += readings * EVERY_MS) {
    let sum = 0
    for (let at = 0; at < readings; at++) sum += waterC(fromMs + at * EVERY_MS)
    made.take({ atMs: fromMs, value: sum / readings, quality: Quality.good })
  }
  return made
}

describe('a batch looked back at by the buckets of its curves', () => {
  it('hatched when it did by all its readings, to some minutes', () => {
    const all = fed(1).at(34 * HOUR_MS, 29.4)
    const buckets = fed(13).at(34 * HOUR_MS, 29.4)
    for (const [one, other] of [
      [all.t10.p50, buckets.t10.p50],
      [all.t90.p50, buckets.t90.p50],
      [all.harvest.bestMs, buckets.harvest.bestMs],
    ] as const)
      expect(Math.abs(one - other)).toBeLessThan(5 * 60_000)
    expect(buckets.hatchedNow.p50).toBeCloseTo(all.hatchedNow.p50, 2)
  })
})
