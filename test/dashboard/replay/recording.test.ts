import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  batchAt,
  gapsOf,
  hatchedAt,
  indexAt,
  recordingOf,
  saidAt,
} from '../../../dashboard/replay/recording.ts'
import { aReplay, at, HOUR_MS, MINUTE_MS, START_MS } from './a-replay.ts'

const recording = recordingOf(aReplay())
const hour = (hours: number) => START_MS + hours * HOUR_MS

describe('the state at a moment', () => {
  it('finds the same place as looking at every one', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 500 })),
        fc.integer({ min: -5, max: 505 }),
        (some, atMs) => {
          const t = [...some].sort((a, b) => a - b)
          expect(indexAt(t, atMs)).toBe(t.findLastIndex(each => each <= atMs))
        },
      ),
    )
  })

  it('knows what was measured last, and since when nothing was', () => {
    const { water } = recording.channels
    expect(saidAt(water, START_MS - 1)).toBeNull()
    expect(saidAt(water, hour(5) + 20_000)).toEqual({ value: 27, atMs: hour(5), old: false })
    expect(saidAt(water, hour(8.5))).toEqual({ value: 27, atMs: hour(8) - MINUTE_MS, old: true })
    expect(saidAt(water, hour(12))).toMatchObject({ value: 35, old: false })
    expect(saidAt(undefined, hour(12))).toBeNull()
  })

  it('finds gaps within and at both ends', () => {
    expect(recording.gaps).toEqual([{ fromMs: hour(8) - MINUTE_MS, toMs: hour(9) }])
    const channel = { t: [hour(2), hour(2) + MINUTE_MS], gapMs: 5 * MINUTE_MS }
    expect(gapsOf(channel, hour(1), hour(3))).toEqual([
      { fromMs: hour(1), toMs: hour(2) },
      { fromMs: hour(2) + MINUTE_MS, toMs: hour(3) },
    ])
    expect(gapsOf({ t: [], gapMs: 1 }, 0, 10)).toEqual([{ fromMs: 0, toMs: 10 }])
  })

  it('knows how much had hatched between two moments of the course', () => {
    const { course } = recording.replay
    const half = hatchedAt(course, hour(22.5))
    expect(half?.share).toBeCloseTo(0.45, 10)
    expect(half?.least).toBeCloseTo(0.225, 10)
    // What swims an hour and a half later hangs as an umbrella now: 0.15 of a hatch that takes ten hours.
    expect(half?.umbrellas).toBeCloseTo(0.15, 10)
    expect(hatchedAt(course, START_MS - 1)).toBeNull()
    expect(hatchedAt(course, hour(99))?.share).toBe(1)
  })

  it('finds the batch that was open then', () => {
    const batches = [
      { id: 'new', startedAt: at(40), endedAt: null },
      { id: 'old', startedAt: at(0), endedAt: at(30) },
    ]
    expect(batchAt(batches, hour(12))?.id).toBe('old')
    expect(batchAt(batches, hour(35))).toBeUndefined()
    expect(batchAt(batches, hour(99))?.id).toBe('new')
  })
})
