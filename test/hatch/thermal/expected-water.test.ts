import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { expectWater } from '../../../broker/hatch/thermal/expected-water.ts'

const NOW = 1_764_000_000_000
const HOUR = 3_600_000
/** Samples up to NOW. */
const past = (hours: number, everyMs: number, water: (hoursAgo: number) => number) => {
  const count = Math.floor((hours * HOUR) / everyMs)
  return Array.from({ length: count + 1 }, (_, i) => {
    const agoMs = (count - i) * everyMs
    return { atMs: NOW - agoMs, waterC: water(agoMs / HOUR) }
  })
}

describe('expectWater', () => {
  it('keeps to the plan when nothing was measured, and says so', () => {
    for (const recent of [[], [{ atMs: NOW, waterC: NaN }], [{ atMs: NOW + 1, waterC: 20 }]]) {
      const expected = expectWater(recent, NOW, 27)
      expect(expected.basis).toBe('planned')
      expect(expected.at(NOW + HOUR).levelC).toBe(27)
      expect(expected.at(NOW + HOUR).spreadC).toBeGreaterThan(1)
    }
  })

  it('expects steady water to stay, no surer than the probe is', () => {
    const expected = expectWater(
      past(3, 1000, () => 27.5),
      NOW,
      24,
    )
    expect(expected.basis).toBe('measured')
    expect(expected.at(NOW + 10 * HOUR).levelC).toBeCloseTo(27.5, 9)
    // DS18B20 datasheet: ±0.5 °C, as two standard deviations.
    expect(expected.at(NOW + 10 * HOUR).spreadC).toBeCloseTo(0.25, 9)
  })

  it('is not moved by a few wild values', () => {
    const recent = past(3, 60_000, ago => (Math.round(ago * 60) % 45 === 0 ? 35 : 26))
    expect(Math.abs(expectWater(recent, NOW, 27).at(NOW).levelC - 26)).toBeLessThan(0.05)
  })

  it('is moved by the newest hour, and unsure while the water moves', () => {
    const moving = expectWater(
      past(3, 10_000, ago => 28 - ago),
      NOW,
      27,
    ).at(NOW)
    const steady = expectWater(
      past(3, 10_000, () => 28),
      NOW,
      27,
    ).at(NOW)
    expect(Math.abs(moving.levelC - 27.5)).toBeLessThan(0.1)
    expect(moving.spreadC).toBeGreaterThan(2 * steady.spreadC)
  })

  it('grows unsure with silence and with little to go by', () => {
    const steady = past(3, 10_000, () => 27)
    const fresh = expectWater(steady, NOW, 27).at(NOW).spreadC
    expect(expectWater(steady, NOW + 3 * HOUR, 27).at(NOW).spreadC).toBeGreaterThan(fresh + 0.5)
    expect(expectWater(steady.slice(-3), NOW, 27).at(NOW).spreadC).toBeGreaterThan(fresh + 0.25)
  })

  it('does not mind how densely the hours were sampled', () => {
    const dense = past(1, 1000, () => 27)
    const sparse = past(2, 120_000, ago => (ago > 1 ? 25 : 27)).filter(({ atMs }) => atMs < NOW - HOUR)
    const expected = expectWater([...sparse, ...dense], NOW, 27).at(NOW)
    expect(expected.levelC).toBeCloseTo(27, 9)
    expect(expected.spreadC).toBeGreaterThan(1)
  })

  it('looks three hours back and not further', () => {
    const recent = [
      ...past(9, 60_000, () => 15).filter(({ atMs }) => atMs < NOW - 3.2 * HOUR),
      ...past(3, 60_000, () => 27),
    ]
    expect(expectWater(recent, NOW, 20).at(NOW)).toEqual(
      expectWater(
        past(3, 60_000, () => 27),
        NOW,
        20,
      ).at(NOW),
    )
  })

  it('stays within what was measured, with a finite spread, whatever comes', () => {
    const sample = fc.record({
      atMs: fc.integer({ min: NOW - 5 * HOUR, max: NOW }),
      waterC: fc.oneof(
        fc.double({ min: 0, max: 40, noNaN: true }),
        fc.constantFrom(NaN, Infinity, -Infinity),
      ),
    })
    fc.assert(
      fc.property(fc.array(sample), samples => {
        const recent = samples.sort((a, b) => a.atMs - b.atMs)
        const { levelC, spreadC } = expectWater(recent, NOW, 27).at(NOW)
        const measured = recent.map(({ waterC }) => waterC).filter(Number.isFinite)
        expect(levelC).toBeGreaterThanOrEqual(Math.min(27, ...measured) - 1e-9)
        expect(levelC).toBeLessThanOrEqual(Math.max(27, ...measured) + 1e-9)
        expect(spreadC).toBeGreaterThan(0)
        expect(spreadC).toBeLessThan(Infinity)
      }),
    )
  })
})
