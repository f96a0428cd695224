import { describe, expect, it } from 'vitest'
import { createSendTimes, placeTime } from '../../broker/intake/place.ts'
import { NOW } from './fakes.ts'

const MINUTE = 60_000
const DAY = 86_400_000

describe('placing a time', () => {
  it.each([
    [0, NOW],
    [-5, NOW - 5000],
    [-0.25, NOW - 250],
    [-43_200, NOW - DAY / 2],
    [5, NOW],
    [2.5, NOW],
    [NOW / 1000 - 60, NOW - MINUTE],
    [NOW / 1000 + 300, NOW + 5 * MINUTE],
    [NOW / 1000 - 400 * 86_400, NOW - 400 * DAY],
    [-400 * 86_400, NOW - 400 * DAY],
  ])('%d s is %d', (timeS, atMs) => {
    expect(placeTime(timeS, NOW, NOW)).toBe(atMs)
  })

  // RFC 8428 section 4.5.3: below 2^28 a time is relative, so the year 1978 is far in the future here.
  it.each([
    5.001,
    3600,
    2 ** 28 - 1,
    2 ** 28,
    NOW / 1000 + 300.001,
    NOW / 1000 - 400 * 86_400 - 1,
    -400 * 86_400 - 1,
    -1e300,
    1e300,
  ])('%d s is not believed', timeS => {
    expect(placeTime(timeS, NOW, NOW)).toMatch(/^its time .* (ahead|ago|future)/)
  })

  it('a relative time hangs on the sending, an absolute one on nothing', () => {
    expect(placeTime(-5, NOW - MINUTE, NOW)).toBe(NOW - MINUTE - 5000)
    expect(placeTime(NOW / 1000 - 5, NOW - MINUTE, NOW)).toBe(NOW - 5000)
  })
})

describe('when a pack was sent', () => {
  const times = () => {
    const made = createSendTimes()
    return (uptimeS: number | null, receivedAtMs: number, boot: string | null = 'b') =>
      made.sentAt('bench-1', boot, uptimeS, receivedAtMs)
  }

  it('is the receipt, without boot or uptime or at first sight', () => {
    const sentAt = times()
    expect(sentAt(null, NOW)).toBe(NOW)
    expect(sentAt(10, NOW, null)).toBe(NOW)
    expect(sentAt(10, NOW)).toBe(NOW)
    expect(sentAt(20, NOW + 40_000)).toBe(NOW + 40_000)
  })

  it('is earlier for what waited in a queue', () => {
    const sentAt = times()
    sentAt(100, NOW)
    // Twelve hours of packs, one a minute, come out of the queue within a second.
    for (let minute = 1; minute <= 720; minute++) {
      const sent = sentAt(100 + minute * 60, NOW + DAY / 2 + minute)
      const truth = NOW + minute * MINUTE
      const waited = NOW + DAY / 2 + minute - truth
      // What is left is the allowance for a drifting clock, 200 parts per million of half a day.
      if (waited > 45_000) expect(Math.abs(sent - truth)).toBeLessThan(10_000)
      else expect(sent).toBeLessThanOrEqual(NOW + DAY / 2 + minute)
    }
    expect(sentAt(100 + 43_260, NOW + DAY / 2 + MINUTE)).toBe(NOW + DAY / 2 + MINUTE)
  })

  it('a shorter uptime of another power-up is nothing to compare', () => {
    const sentAt = times()
    sentAt(10_000, NOW)
    expect(sentAt(5, NOW + MINUTE, 'c')).toBe(NOW + MINUTE)
  })

  it.each([+100e-6, -100e-6])('a device whose clock runs wrong by %d is not taken for waiting', rate => {
    const sentAt = times()
    for (let hour = 0; hour < 24 * 60; hour++) {
      const at = NOW + hour * 60 * MINUTE
      expect(sentAt(hour * 3600 * (1 + rate), at)).toBe(at)
    }
  })

  it('a clock here that is set forward misplaces for two minutes and not for ever', () => {
    const sentAt = times()
    for (let s = 0; s < 100; s++) sentAt(s, NOW + s * 1000)
    const jump = 10 * MINUTE
    expect(sentAt(100, NOW + jump + 100_000)).toBeLessThan(NOW + jump)
    for (let s = 101; s <= 225; s++) sentAt(s, NOW + jump + s * 1000)
    expect(sentAt(226, NOW + jump + 226_000)).toBe(NOW + jump + 226_000)
  })

  it('a clock here that is set back is followed at once', () => {
    const sentAt = times()
    sentAt(100, NOW)
    expect(sentAt(101, NOW - DAY)).toBe(NOW - DAY)
  })

  it('remembers so many power-ups and no more', () => {
    const made = createSendTimes({ boots: 2 })
    made.sentAt('a', 'b', 0, NOW)
    for (const boot of ['c', 'd']) made.sentAt('a', boot, 0, NOW)
    // Forgotten: what waited an hour counts as sent now.
    expect(made.sentAt('a', 'b', 1, NOW + 60 * MINUTE)).toBe(NOW + 60 * MINUTE)
    expect(made.sentAt('a', 'd', 1, NOW + 60 * MINUTE)).toBeLessThan(NOW + 2 * MINUTE)
  })
})
