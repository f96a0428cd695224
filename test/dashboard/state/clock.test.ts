import { describe, expect, it } from 'vitest'
import { RoomClock } from '../../../dashboard/state/clock.ts'
import { retryDelayMs } from '../../../dashboard/state/backoff.ts'

describe('RoomClock', () => {
  it('carries the broker’s time on at the broker’s speed', () => {
    let passedMs = 500
    const clock = new RoomClock(() => passedMs)
    expect(clock.nowMs()).toBe(0)
    clock.set(1_000_000, 60)
    passedMs += 1_000
    expect(clock.nowMs()).toBe(1_060_000)
    clock.set(2_000_000)
    passedMs += 10
    expect(clock.nowMs()).toBe(2_000_600)
    expect(clock.sinceHeardMs()).toBe(10)
  })
})

describe('retryDelayMs', () => {
  it('doubles, is spread over half of it, and ends at a quarter of a minute', () => {
    expect(retryDelayMs(0, 0)).toBe(250)
    expect(retryDelayMs(0, 1)).toBe(500)
    expect(retryDelayMs(3, 1)).toBe(4_000)
    for (const attempt of [5, 20, 5_000]) expect(retryDelayMs(attempt, 1)).toBe(15_000)
  })
})
