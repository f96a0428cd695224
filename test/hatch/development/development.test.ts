import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { WaterSample } from '../../../broker/hatch/contract.ts'
import type { DevelopmentTrace } from '../../../broker/hatch/development/development.ts'
import {
  advance,
  beginTrace,
  degHoursAt,
  MAX_KNOTS,
  timeOfDegHours,
} from '../../../broker/hatch/development/development.ts'
import { developmentBetween } from '../../../broker/hatch/development/thermal-clock.ts'

const START = 1_764_000_000_000
const HOUR = 3_600_000
const run = (samples: readonly WaterSample[]) => samples.reduce(advance, beginTrace(START))
const steady = (waterC: number, hours: number, everyMs: number) =>
  run(
    Array.from({ length: Math.round((hours * HOUR) / everyMs) + 1 }, (_, i) => ({
      atMs: START + i * everyMs,
      waterC,
    })),
  )

/** Irregular samples: steps from a tenth of a second to three hours, any water. */
const samples = fc
  .array(
    fc.tuple(
      fc.oneof(fc.integer({ min: 100, max: 5_000 }), fc.integer({ min: 5_000, max: 3 * HOUR })),
      fc.double({ min: 5, max: 36, noNaN: true }),
    ),
    { minLength: 1, maxLength: 80 },
  )
  .map(steps => {
    let atMs = START
    return steps.map(([step, waterC]) => ({ atMs: (atMs += step), waterC }))
  })

const exactAtLast = (list: readonly WaterSample[]) => {
  let atMs = START
  let waterC = list[0]!.waterC
  let sum = 0
  for (const next of list) {
    sum += developmentBetween(waterC, next.waterC, (next.atMs - atMs) / HOUR)
    atMs = next.atMs
    waterC = next.waterC
  }
  return sum
}

describe('a development trace', () => {
  it('counts 16 °C·h an hour at 27 °C, sampled each second', () => {
    const trace = steady(27, 2, 1000)
    expect(trace.degHours).toBeCloseTo(32, 9)
    expect(degHoursAt(trace, START + HOUR)).toBeCloseTo(16, 9)
    expect(timeOfDegHours(trace, 16)).toBeCloseTo(START + HOUR, -1)
    expect(trace.gapHours).toBe(0)
    expect(trace.knotCount).toBeLessThanOrEqual(121)
  })

  it('is exact at the newest sample, however irregular the samples', () => {
    fc.assert(
      fc.property(samples, list => {
        expect(run(list).degHours).toBeCloseTo(exactAtLast(list), 7)
      }),
    )
  })

  it('is exact at any sample when they come a minute or more apart', () => {
    fc.assert(
      fc.property(samples, list => {
        const sparse = list.map((sample, i) => ({ ...sample, atMs: sample.atMs + (i + 1) * 60_000 }))
        const trace = run(sparse)
        sparse.forEach((sample, i) => {
          expect(degHoursAt(trace, sample.atMs)).toBeCloseTo(exactAtLast(sparse.slice(0, i + 1)), 6)
        })
      }),
    )
  })

  it('keeps the past within a hundredth of a degree-hour between knots of dense samples', () => {
    const list = Array.from({ length: 7200 }, (_, i) => ({
      atMs: START + i * 1000,
      waterC: 25 + 3 * Math.sin(i / 700),
    }))
    const trace = run(list)
    for (let i = 7; i < list.length; i += 631) {
      const exact = exactAtLast(list.slice(0, i + 1))
      expect(Math.abs(degHoursAt(trace, list[i]!.atMs) - exact)).toBeLessThan(0.01)
    }
  })

  it('never falls, and its inverse finds the moment again', () => {
    fc.assert(
      fc.property(samples, fc.double({ min: 0, max: 1, noNaN: true }), (list, share) => {
        const trace = run(list)
        const span = trace.lastAtMs - START
        const at = START + span * share
        const degH = degHoursAt(trace, at)
        expect(degH).toBeGreaterThanOrEqual(degHoursAt(trace, at - span / 50))
        const found = timeOfDegHours(trace, degH)
        expect(found).not.toBeNull()
        expect(found!).toBeLessThanOrEqual(at + 1)
        // A millisecond at the fastest rate there is: 19 °C·h per hour.
        expect(Math.abs(degHoursAt(trace, found!) - degH)).toBeLessThan(0.0001)
      }),
    )
  })

  it('does not know the future', () => {
    const trace = steady(27, 1, 60_000)
    expect(timeOfDegHours(trace, 16.01)).toBeNull()
    expect(degHoursAt(trace, START + 10 * HOUR)).toBe(trace.degHours)
    expect(timeOfDegHours(beginTrace(START), 0)).toBe(START)
    expect(timeOfDegHours(beginTrace(START), 1)).toBeNull()
  })

  it('bridges a gap in a straight line and counts its hours', () => {
    const trace = run([
      { atMs: START, waterC: 24 },
      { atMs: START + 2 * HOUR, waterC: 28 },
    ])
    expect(trace.degHours).toBeCloseTo(2 * (26 - 11), 9)
    expect(trace.gapHours).toBe(2)
    expect(degHoursAt(trace, START + HOUR)).toBeCloseTo(25 - 11, 9)
  })

  it('takes the water before the first sample to have been as that one', () => {
    const trace = run([{ atMs: START + HOUR, waterC: 21 }])
    expect(trace.degHours).toBeCloseTo(10, 9)
    expect(trace.gapHours).toBe(1)
  })

  it('passes over late, repeated, early and numberless samples', () => {
    const trace = steady(27, 1, 60_000)
    const before = JSON.stringify(trace)
    for (const sample of [
      { atMs: START + HOUR, waterC: 20 },
      { atMs: START, waterC: 20 },
      { atMs: START + 2 * HOUR, waterC: NaN },
      { atMs: START + 2 * HOUR, waterC: Infinity },
      { atMs: NaN, waterC: 20 },
    ]) {
      expect(advance(trace, sample)).toBe(trace)
    }
    expect(JSON.stringify(trace)).toBe(before)
    expect(advance(beginTrace(START), { atMs: START - 1, waterC: 27 }).samples).toBe(0)
  })

  it('stays true when others grow out of it', () => {
    const trunk = steady(27, 1, 60_000)
    const later = { atMs: START + 3 * HOUR, waterC: 30 }
    const warm = advance(trunk, later)
    const cool = advance(trunk, { ...later, waterC: 15 })
    expect(trunk.degHours).toBeCloseTo(16, 9)
    expect(degHoursAt(trunk, START + 30 * 60_000)).toBeCloseTo(8, 9)
    expect(warm.degHours - trunk.degHours).toBeCloseTo(2 * 17.5, 9)
    expect(cool.degHours - trunk.degHours).toBeCloseTo(2 * 10, 9)
    // Half way through the two hours: from 27 towards 30 °C, and from 27 towards 15 °C.
    expect(degHoursAt(warm, START + 2 * HOUR)).toBeCloseTo(16 + (27.75 - 11), 9)
    expect(degHoursAt(cool, START + 2 * HOUR)).toBeCloseTo(16 + (24 - 11), 9)
    const longer = advance(cool, { atMs: START + 5 * HOUR, waterC: 15 })
    expect(degHoursAt(longer, START + 2 * HOUR)).toBeCloseTo(16 + (24 - 11), 9)
    expect(degHoursAt(warm, later.atMs)).toBe(warm.degHours)
    expect(degHoursAt(cool, later.atMs)).toBe(cool.degHours)
  })

  it('stays bounded over months, and keeps its past to the minute or two', () => {
    let trace: DevelopmentTrace = beginTrace(START)
    const minutes = 3 * MAX_KNOTS
    for (let i = 0; i <= minutes; i++) trace = advance(trace, { atMs: START + i * 60_000, waterC: 21 })
    expect(trace.knotCount).toBeLessThanOrEqual(MAX_KNOTS)
    expect(trace.degHours).toBeCloseTo(minutes / 6, 4)
    expect(degHoursAt(trace, START + 100 * HOUR)).toBeCloseTo(1000, 5)
    expect(degHoursAt(trace, START + 700 * HOUR)).toBeCloseTo(7000, 5)
  })
})
