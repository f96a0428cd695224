import { describe, expect, it } from 'vitest'
import { HarvestGoal, type ForecastInput } from '../../broker/hatch/contract.ts'
import { hatchCourse, MOST_POINTS } from '../../broker/hatch/course.ts'
import { advance, beginTrace } from '../../broker/hatch/development/development.ts'
import { forecast } from '../../broker/hatch/forecast.ts'
import { unseenLot } from '../../broker/hatch/lot/lot.ts'
import { hatchedShare } from '../../broker/hatch/population/population.ts'

const START = 1_764_000_000_000
const HOUR = 3_600_000
const NOW = START + 14 * HOUR

function input(change: Partial<ForecastInput> = {}): ForecastInput {
  let trace = beginTrace(START)
  for (let atMs = START; atMs <= NOW; atMs += 60_000) trace = advance(trace, { atMs, waterC: 27 })
  return {
    startedAtMs: START,
    nowMs: NOW,
    trace,
    expected: { basis: 'measured', at: () => ({ levelC: 27, spreadC: 0.6 }) },
    lot: unseenLot,
    goal: HarvestGoal.balanced,
    ...change,
  }
}
const span = { fromMs: START, toMs: START + 48 * HOUR, points: 97 }

describe('hatchCourse', () => {
  it('is even in time, in order in every band, and rises', () => {
    const { t, hatched, usable, water } = hatchCourse(input(), span)
    expect(t).toHaveLength(97)
    expect(t[0]).toBe(START)
    expect(t.at(-1)).toBe(span.toMs)
    for (const band of [hatched, usable, water]) {
      for (const p of ['p10', 'p50', 'p90'] as const) expect(band[p]).toHaveLength(97)
    }
    for (let at = 0; at < t.length; at++) {
      for (const { p10, p50, p90 } of [hatched, usable]) {
        expect(p10[at]!).toBeLessThanOrEqual(p50[at]!)
        expect(p50[at]!).toBeLessThanOrEqual(p90[at]!)
      }
      if (at > 0) expect(hatched.p50[at]!).toBeGreaterThanOrEqual(hatched.p50[at - 1]! - 1e-9)
    }
  })

  it('expects water from now on, and leaves the past to what was measured', () => {
    const { t, water } = hatchCourse(input(), span)
    for (const [at, ms] of t.entries()) {
      if (ms < NOW) expect(water.p50[at]).toBeNull()
      else {
        expect(water.p50[at]).toBeCloseTo(27, 9)
        // 0.6 °C, ten and ninety of a hundred lie 1.2816 of it away.
        expect(water.p90[at]! - 27).toBeCloseTo(0.6 * 1.2816, 3)
      }
    }
  })

  it('says at now what the forecast says', () => {
    const asked = input()
    const { hatched } = hatchCourse(asked, { fromMs: NOW, toMs: NOW + HOUR, points: 2 })
    const now = forecast(asked).hatchedNow
    for (const p of ['p10', 'p50', 'p90'] as const) expect(hatched[p][0]!).toBeCloseTo(now[p], 9)
  })

  it('is by hand where nothing is in doubt', () => {
    const known = { ...unseenLot, lnLow: -1e-9, lnHigh: 1e-9 }
    const expected = { basis: 'planned' as const, at: () => ({ levelC: 27, spreadC: 0 }) }
    const { t, hatched } = hatchCourse(input({ lot: known, expected }), span)
    for (const [at, ms] of t.entries()) {
      expect(hatched.p50[at]).toBeCloseTo(hatchedShare(known, (16 * (ms - START)) / HOUR), 3)
    }
  })

  it.each([NaN, Infinity, -1, 0, 1, 2.5, MOST_POINTS + 1])('refuses %d points', points => {
    expect(() => hatchCourse(input(), { ...span, points })).toThrow(
      /^Cannot draw the hatch: points must be 2 to 1000/,
    )
  })

  it.each([NaN, START, START - 1])('refuses an end at %d', toMs => {
    expect(() => hatchCourse(input(), { ...span, toMs })).toThrow(
      /^Cannot draw the hatch: it must end after it begins/,
    )
  })
})
