import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { expectWater } from '../../../broker/hatch/thermal/expected-water.ts'
import { fitThermalResponse } from '../../../broker/hatch/thermal/response.ts'

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

  it('expects steady water to stay, never surer than the probe is, and less sure of a later hour', () => {
    const expected = expectWater(
      past(3, 1000, () => 27.5),
      NOW,
      24,
    )
    expect(expected.basis).toBe('measured')
    expect(expected.at(NOW).levelC).toBeCloseTo(27.5, 2)
    expect(Math.abs(expected.at(NOW + 10 * HOUR).levelC - 27.5)).toBeLessThan(0.1)
    // DS18B20 datasheet: ±0.5 °C, as two standard deviations.
    expect(expected.at(NOW).spreadC).toBeCloseTo(0.25, 2)
    const spreads = [0, 1, 2, 4, 6, 40].map(hours => expected.at(NOW + hours * HOUR).spreadC)
    expect(spreads).toEqual([...spreads].sort((a, b) => a - b))
    // A day's swing of a lived-in room, own assumption: some tenths to some degrees.
    expect(spreads.at(-1)).toBeGreaterThan(0.7)
    expect(spreads.at(-1)).toBeLessThan(2)
  })

  it('carries water that warms on to where its response takes it', () => {
    // Newton's law: 22 towards 27.2 °C with 1.5 h, seen for an hour and a half.
    const water = (hours: number) => 27.2 - 5.2 * Math.exp(-hours / 1.5)
    const expected = expectWater(
      past(1.5, 10_000, ago => water(1.5 - ago)),
      NOW,
      25,
      { litres: 1 },
    )
    for (const ahead of [0.5, 1, 2, 4]) {
      expect(Math.abs(expected.at(NOW + ahead * HOUR).levelC - water(1.5 + ahead))).toBeLessThan(0.1)
    }
  })

  it('lets the plan stand in while readings do not tell yet where the water will settle', () => {
    const justFilled = past(1 / 180, 10_000, () => 21)
    const planned = (plannedC: number) => expectWater(justFilled, NOW, plannedC, { litres: 1 })
    expect(Math.abs(planned(27).at(NOW).levelC - 21)).toBeLessThan(0.2)
    expect(planned(27).at(NOW + 12 * HOUR).levelC).toBeGreaterThan(planned(24).at(NOW + 12 * HOUR).levelC + 1)
    expect(planned(27).at(NOW + 12 * HOUR).spreadC).toBeGreaterThan(1.2)
  })

  it('takes a response that was fitted elsewhere, and none as nothing measured', () => {
    const response = fitThermalResponse(
      past(3, 10_000, () => 26),
      NOW,
    )
    expect(expectWater([], NOW, 30, { response }).at(NOW).levelC).toBeCloseTo(26, 2)
    expect(
      expectWater(
        past(1, 10_000, () => 26),
        NOW,
        30,
        { response: null },
      ).basis,
    ).toBe('planned')
  })

  it('is not moved by a few wild values', () => {
    const recent = past(3, 60_000, ago => (Math.round(ago * 60) % 45 === 0 ? 35 : 26))
    expect(Math.abs(expectWater(recent, NOW, 27).at(NOW - HOUR / 2).levelC - 26)).toBeLessThan(0.3)
  })

  it('grows unsure with silence and with little to go by', () => {
    const steady = past(3, 10_000, () => 27)
    const later = NOW + 3 * HOUR
    const fresh = expectWater(steady, NOW, 27).at(later).spreadC
    expect(expectWater(steady, later, 27).at(later).spreadC).toBeGreaterThan(fresh + 0.1)
    expect(expectWater(steady.slice(-3), NOW, 27).at(later).spreadC).toBeGreaterThan(fresh + 0.25)
  })

  it('does not mind how densely the hours were sampled', () => {
    const dense = past(1, 1000, () => 27)
    const sparse = past(2, 120_000, () => 27).filter(({ atMs }) => atMs < NOW - HOUR)
    expect(expectWater([...sparse, ...dense], NOW, 27).at(NOW).levelC).toBeCloseTo(27, 2)
  })

  it('looks three hours back and not further', () => {
    const recent = past(3, 60_000, () => 27)
    const older = past(9, 60_000, () => 15).filter(({ atMs }) => atMs <= NOW - 3 * HOUR)
    expect(expectWater([...older, ...recent], NOW, 20).at(NOW)).toEqual(
      expectWater(recent.slice(1), NOW, 20).at(NOW),
    )
  })

  it('stays near what was measured and planned, with a finite spread, whatever comes', () => {
    const sample = fc.record({
      atMs: fc.integer({ min: NOW - 5 * HOUR, max: NOW }),
      waterC: fc.oneof(
        fc.double({ min: 0, max: 40, noNaN: true }),
        fc.constantFrom(NaN, Infinity, -Infinity),
      ),
    })
    fc.assert(
      fc.property(fc.array(sample), fc.integer({ min: -5 * HOUR, max: 240 * HOUR }), (samples, aheadMs) => {
        const recent = samples.sort((a, b) => a.atMs - b.atMs)
        const { levelC, spreadC } = expectWater(recent, NOW, 27).at(NOW + aheadMs)
        // Believable for water in a room, with the readings' own range let in.
        expect(levelC).toBeGreaterThanOrEqual(-1)
        expect(levelC).toBeLessThanOrEqual(46)
        expect(spreadC).toBeGreaterThan(0)
        expect(spreadC).toBeLessThan(10)
      }),
    )
  })
})
