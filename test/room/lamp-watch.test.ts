import { describe, expect, it } from 'vitest'
import { LampWatch } from '../../broker/room/watch/lamp-watch.ts'
import { ThermalWatch, type LampSeen } from '../../broker/room/watch/thermal-watch.ts'

const T0 = Date.UTC(2026, 0, 10, 12)
const SECOND = 1000
const MINUTE = 60_000

/** A reading every ten seconds, with a flicker of two per cent. */
const shine = (watch: LampWatch, fromMs: number, minutes: number, lux: (minute: number) => number) => {
  for (let s = 0; s < minutes * 60; s += 10)
    watch.take(fromMs + s * SECOND, lux(s / 60) * (s % 20 === 0 ? 1.01 : 0.99))
}

describe('a lamp that grows brighter', () => {
  it('is seen after half a minute, with when and by how much', () => {
    const watch = new LampWatch()
    shine(watch, T0, 12, () => 3000)
    expect(watch.brightening).toBeNull()
    const sinceMs = T0 + 12 * MINUTE
    watch.take(sinceMs, 6000)
    watch.take(sinceMs + 10 * SECOND, 6000)
    expect(watch.brightening).toBeNull()
    watch.take(sinceMs + 30 * SECOND, 6000)
    expect(watch.brightening).toMatchObject({ sinceMs })
    expect(watch.brightening!.ratio).toBeGreaterThan(1.95)
    expect(watch.brightening!.ratio).toBeLessThan(2.05)
  })

  it('is none that shines as before again, and after a quarter of an hour it is what it is', () => {
    const watch = new LampWatch()
    shine(watch, T0, 12, () => 3000)
    shine(watch, T0 + 12 * MINUTE, 2, () => 6000)
    expect(watch.brightening).not.toBeNull()
    shine(watch, T0 + 14 * MINUTE, 1, () => 3000)
    expect(watch.brightening).toBeNull()
    shine(watch, T0 + 20 * MINUTE, 10, () => 3000)
    shine(watch, T0 + 30 * MINUTE, 40, () => 6000)
    expect(watch.brightening).toBeNull()
    shine(watch, T0 + 70 * MINUTE, 5, () => 6000)
    expect(watch.brightening).toBeNull()
  })

  it('is no morning, no room light beside a lamp, and no lamp that is switched on', () => {
    for (const lux of [
      // Daylight that doubles the light within an hour.
      (minute: number) => 3000 * (1 + minute / 60),
      (minute: number) => 3000 + (minute > 20 ? 300 : 0),
      (minute: number) => (minute > 20 ? 3000 : 5),
    ]) {
      const watch = new LampWatch()
      let seen = false
      for (let minute = 0; minute < 60; minute++) {
        shine(watch, T0 + minute * MINUTE, 1, m => lux(minute + m))
        seen ||= watch.brightening !== null
      }
      expect(seen).toBe(false)
    }
  })
})

describe('where the water goes when its lamp grows brighter', () => {
  const CHANGED = 60
  /** Minutes after the change at which the crossing is first foretold, `Infinity` for never; a reading every ten seconds. */
  const foretoldAfter = (risesCpm: number, lamp: Omit<LampSeen, 'sinceMs'> | null): number => {
    const watch = new ThermalWatch(1)
    for (let s = 0; s < (CHANGED + 12) * 60; s += 10) {
      const minute = s / 60 - CHANGED
      // Steps of a twelve-bit probe; scatter that is the same in every run.
      const waterC = 27 + Math.max(0, minute - 0.5) * risesCpm + 0.03 * Math.sin(s * 1.7)
      const atMs = T0 + s * SECOND
      watch.take(atMs, Math.round(waterC * 16) / 16)
      const seen = lamp && minute >= 0.5 ? { ...lamp, sinceMs: T0 + CHANGED * MINUTE } : null
      if (s % 30 === 0) watch.look(29.4, atMs, seen)
      if (minute > 0 && watch.heading?.newest.at && Number.isFinite(watch.heading.newest.at.p90))
        return minute
    }
    return Infinity
  }
  const brighter = { ratio: 2, roomC: 21, heats: true }

  it('is known sooner than by the water alone', () => {
    const alone = foretoldAfter(0.12, null)
    const told = foretoldAfter(0.12, brighter)
    expect(alone).toBeLessThan(6)
    expect(told).toBeLessThan(alone)
    expect(told).toBeGreaterThan(0.5)
  })

  it('is nowhere while the water does not follow: the sun is no heater', () => {
    expect(foretoldAfter(0, brighter)).toBe(Infinity)
    expect(foretoldAfter(0, { ...brighter, roomC: null, heats: null })).toBe(Infinity)
  })
})
