import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { silentTogether } from '../../broker/room/watch/silent-together.ts'
import { UsualGap } from '../../broker/room/watch/usual-gap.ts'

const SECOND = 1000
const MINUTE = 60 * SECOND
const T0 = Date.UTC(2026, 0, 5)

/** Two devices that speak at the same moments, and what is seen of them each second after `silentFrom`. */
function twoHeardEach(everyMs: number, many: number, forMs: number) {
  const gaps = [new UsualGap(), new UsualGap()]
  let last = T0
  for (let at = 0; at < many; at++) {
    last = T0 + at * everyMs
    for (const gap of gaps) gap.hear(last)
  }
  const devices = gaps.map((gap, at) => ({
    name: `bench-${at}`,
    lastHeardAtMs: last,
    usualGapMs: gap.ms,
    vessels: [`Cone ${at}`],
  }))
  for (let ms = 0; ms <= forMs; ms += SECOND)
    if (silentTogether(devices, T0, last + ms)) return Math.round(ms / SECOND)
  return null
}

describe('devices that fell silent together', () => {
  it('are told after little more than a minute where they speak often', () => {
    expect(twoHeardEach(SECOND, 100, 10 * MINUTE)).toBe(70)
    expect(twoHeardEach(30 * SECOND, 10, 10 * MINUTE)).toBe(70)
  })

  it('are not those that speak seldom, until they are late', () => {
    for (const every of [2 * MINUTE, 5 * MINUTE]) {
      expect(twoHeardEach(every, 10, every)).toBeNull()
      expect(twoHeardEach(every, 10, 10 * MINUTE)).toBe(Math.round((1.25 * every) / SECOND))
    }
    // Heard once, and nobody knows how often it will be.
    expect(twoHeardEach(MINUTE, 1, 10 * MINUTE)).toBe(150)
  })
})

/** Devices that each speak at their own pace and phase until their power goes; what is said of them, and when, s after that. */
function strip(pacesS: readonly number[], phases: readonly number[]) {
  const offMs = T0 + 12 * 3600 * SECOND
  const devices = pacesS.map((everyS, at) => {
    const gap = new UsualGap()
    let last = 0
    for (let ms = T0 + (phases[at] ?? 0) * everyS * SECOND; ms <= offMs; ms += everyS * SECOND)
      gap.hear((last = ms))
    return { name: `bench-${at}`, lastHeardAtMs: last, usualGapMs: gap.ms, vessels: [`Cone ${at}`] }
  })
  for (let s = 0; s <= 4 * 3600; s += 5) {
    const found = silentTogether(devices, T0, offMs + s * SECOND)
    const [moment] = found?.moments ?? []
    if (moment?.devices.length === devices.length) return { afterS: s, sinceMs: moment.sinceMs, offMs }
  }
  return null
}

describe('devices on one strip that speak in turn', () => {
  it('are told of together before any is called by itself, whatever their pace and their turns', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 5, max: 3600 }),
        fc.array(fc.double({ min: 0, max: 0.99, noNaN: true }), { minLength: 2, maxLength: 12 }),
        (everyS, phases) => {
          const found = strip(
            phases.map(() => everyS),
            phases,
          )
          // Each by itself is called two gaps and a half after its own last word, or after 180 s: the earliest of them spoke last a gap
          // before the power went, at the most.
          expect(found?.afterS).toBeLessThanOrEqual(Math.max(75, 1.25 * everyS + 5))
          expect(found!.sinceMs).toBeLessThanOrEqual(found!.offMs)
        },
      ),
      { numRuns: 200 },
    )
  })

  it('are not those of which one spoke on long after another should have', () => {
    // One fell silent an hour before the other, and both speak each five minutes.
    const device = (name: string, lastHeardAtMs: number) => ({
      ...{ name, lastHeardAtMs, usualGapMs: 5 * MINUTE, vessels: [name] },
    })
    const devices = [device('a', T0), device('b', T0 + 60 * MINUTE)]
    expect(silentTogether(devices, T0 - 1, T0 + 120 * MINUTE)).toBeNull()
  })
})

describe('how far apart a device is usually heard', () => {
  it('passes over packs that come together, and one outage', () => {
    const gap = new UsualGap()
    for (let at = 0; at < 6; at++) for (const ms of [0, 200, 400]) gap.hear(T0 + at * 2 * MINUTE + ms)
    expect(gap.ms).toBe(2 * MINUTE)
    gap.hear(T0 + 8 * 60 * MINUTE)
    expect(gap.ms).toBe(2 * MINUTE)
  })

  it('goes on over a clock that was set back', () => {
    const gap = new UsualGap()
    for (let at = 0; at < 4; at++) gap.hear(T0 + at * MINUTE)
    gap.setBack(-60 * MINUTE)
    gap.hear(T0 + 4 * MINUTE - 60 * MINUTE)
    expect(gap.ms).toBe(MINUTE)
  })
})

describe('devices that are told of', () => {
  it('are silent until they are heard, also where the service began anew a moment after they were', () => {
    const began = T0 + 10 * MINUTE
    const device = (name: string, lastHeardAtMs: number) => ({
      name,
      lastHeardAtMs,
      usualGapMs: null,
      vessels: [`Cone ${name}`],
    })
    const told = [{ devices: ['a', 'b', 'c'], sinceMs: began - 2 * MINUTE }]
    const look = (cHeardMs: number, nowMs: number) =>
      silentTogether(
        [device('a', began - 2 * MINUTE), device('b', began - 2 * MINUTE), device('c', cHeardMs)],
        began,
        nowMs,
        { told, heardBeforeMs: began - SECOND },
      )
    expect(look(began - 2 * MINUTE, began + SECOND)).toMatchObject({ silentStill: 3 })
    expect(look(began + 20 * SECOND, began + MINUTE)).toMatchObject({
      silentStill: 2,
      vessels: ['Cone a', 'Cone b'],
    })
  })
})
