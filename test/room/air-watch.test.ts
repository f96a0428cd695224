import { describe, expect, it } from 'vitest'
import { AirWatch } from '../../broker/room/watch/air-watch.ts'
import { AirFlowSensor } from '../../sim/hardware/air-flow-sensor.ts'
import { seededRandom } from '../../sim/random.ts'

const T0 = Date.UTC(2026, 0, 10, 12)
const MINUTE = 60_000
const LITRES = 2

/** When the air was first seen to fall below four fifths of what had settled, minutes after T0; `null` for never. */
function firstSeen(
  airLpm: (minute: number) => number,
  { seed = 1, everyS = 30, fromMin = -300, toMin = 120 } = {},
) {
  const watch = new AirWatch()
  const sensor = new AirFlowSensor(seededRandom(seed))
  for (let s = fromMin * 60; s < toMin * 60; s += everyS) {
    watch.take(T0 + s * 1000, sensor.read(airLpm(s / 60)))
    const course = watch.course(LITRES)
    if (course && course.fallPerH > 0 && course.now < 0.8 * course.settled) return s / 60
  }
  return null
}

describe('a pump that fades', () => {
  it.each([10, 30, 60])(
    'is seen within minutes where it is gone within half an hour, read each %d s',
    everyS => {
      const fading = (minute: number) => 0.5 * Math.max(0, 1 - Math.max(minute, 0) / 34)
      for (let seed = 1; seed <= 20; seed++) {
        const seen = firstSeen(fading, { seed, everyS })
        // By then the pump has half its way to nothing before it yet.
        expect(seen).toBeGreaterThan(0)
        expect(seen).toBeLessThanOrEqual(17)
      }
    },
  )

  it.each([
    [1, 45],
    [2, 70],
    [4, 110],
  ])('is seen over hours too: in %d h gone', (hours, withinMin) => {
    const fading = (minute: number) => 0.5 * Math.max(0, 1 - Math.max(minute, 0) / (60 * hours))
    for (let seed = 1; seed <= 10; seed++) {
      const seen = firstSeen(fading, { seed, toMin: 60 * hours })
      expect(seen).toBeGreaterThan(0)
      expect(seen).toBeLessThanOrEqual(withinMin)
    }
  })

  it('tells what it fell from, since when, and how long it lasts', () => {
    const watch = new AirWatch()
    for (let minute = -120; minute <= 14; minute += 0.5)
      watch.take(T0 + minute * MINUTE, 0.5 * (1 - Math.max(minute, 0) / 30))
    const course = watch.course(LITRES)!
    expect(course.settled).toBeCloseTo(0.25, 1)
    // Straight to nothing in thirty minutes: half a litre a minute in half an hour.
    expect(course.fallPerH * LITRES).toBeGreaterThan(0.9)
    expect(course.fallPerH * LITRES).toBeLessThan(1.1)
    expect(course.fallingMs).toBeGreaterThan(9 * MINUTE)
    expect(course.fallingMs).toBeLessThan(17 * MINUTE)
  })
})

describe('air that does not fade', () => {
  it('is none that a hand turns down, at once or in two goes within minutes', () => {
    for (let gap = 0; gap <= 4; gap += 0.5) {
      const turned = (minute: number) => (minute < 0 ? 0.6 : minute < gap ? 0.45 : 0.3)
      expect(firstSeen(turned, { seed: gap * 2 + 1, toMin: 200 })).toBeNull()
    }
  })

  it.each([30, 60, 120])('is none that only pulses, days long, read each %d s', everyS => {
    for (let seed = 1; seed <= 5; seed++)
      expect(firstSeen(() => 0.5, { seed, everyS, fromMin: 0, toMin: 5 * 1440 })).toBeNull()
  })

  it('is none that stops for some minutes and comes back', () => {
    const harvest = (minute: number) => (minute > 0 && minute < 25 ? 0 : 0.5)
    expect(firstSeen(harvest)).toBeNull()
  })
})
