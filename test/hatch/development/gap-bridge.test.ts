import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  advance,
  advanceBridging,
  beginTrace,
  degHoursAt,
  degHoursSdAt,
  endsGap,
  GAP_MS,
  MAX_KNOTS,
  timeOfDegHours,
} from '../../../broker/hatch/development/development.ts'
import { bridgeFrom, crossGap, type GapBridge } from '../../../broker/hatch/development/gap-bridge.ts'
import { fitThermalResponse } from '../../../broker/hatch/thermal/response.ts'

const START = 1_764_000_000_000
const HOUR = 3_600_000
const bridge: GapBridge = { equilibriumC: 28, equilibriumSdC: 0.3, timeConstantH: 1.5 }
const at = (hours: number, waterC: number) => ({ atMs: START + hours * HOUR, waterC })
const water = fc.double({ min: 5, max: 36, noNaN: true })
const gapHours = fc.double({ min: 0.2, max: 60, noNaN: true })
const anyBridge = fc.record({
  equilibriumC: water,
  equilibriumSdC: fc.double({ min: 0, max: 5, noNaN: true }),
  timeConstantH: fc.double({ min: 0.2, max: 24, noNaN: true }),
})

describe('a gap in a development trace', () => {
  const before = advance(beginTrace(START), at(0, 20))

  it('is bridged along the thermal response, not along the straight line', () => {
    // Newton's law from 20 towards 28 °C with 1.5 h; its integral above 11 °C in closed form.
    const exact = (hours: number) => 17 * hours - 8 * 1.5 * (1 - Math.exp(-hours / 1.5))
    const end = at(4, 28 - 8 * Math.exp(-4 / 1.5))
    const bridged = advanceBridging(before, end, bridge)
    expect(Math.abs(bridged.degHours - exact(4))).toBeLessThan(0.05)
    for (const hours of [0.5, 1, 2, 3]) {
      expect(Math.abs(degHoursAt(bridged, START + hours * HOUR) - exact(hours))).toBeLessThan(0.06)
      expect(Math.abs(timeOfDegHours(bridged, exact(hours))! - (START + hours * HOUR))).toBeLessThan(30_000)
    }
    expect(advance(before, end).degHours).toBeLessThan(exact(4) - 3)
    expect(bridged.gapHours).toBe(4)
  })

  it('is in doubt, the more the longer it is, and less where the response is known', () => {
    const doubt = (hours: number, known: GapBridge | null) =>
      advanceBridging(advance(beginTrace(START), at(0, 28)), at(hours, 28), known).degHoursSd
    for (const known of [null, bridge]) {
      const doubts = [0.25, 0.5, 1, 2, 5, 12].map(hours => doubt(hours, known))
      expect(doubts).toEqual([...doubts].sort((a, b) => a - b))
      expect(doubts[0]).toBeGreaterThan(0)
    }
    for (const hours of [0.5, 2, 12]) expect(doubt(hours, bridge)).toBeLessThan(doubt(hours, null))
  })

  it('is in more doubt where the second reading is not what the response foretold', () => {
    const doubt = (toC: number) =>
      advanceBridging(advance(beginTrace(START), at(0, 28)), at(6, toC), bridge).degHoursSd
    expect(doubt(21)).toBeGreaterThan(doubt(28) + 1)
  })

  it('adds its doubt in quadrature, and measured hours add none', () => {
    let trace = before
    for (let minute = 1; minute <= 60; minute++) trace = advance(trace, at(minute / 60, 25))
    expect(trace.degHoursSd).toBe(0)
    const first = advanceBridging(trace, at(4, 25), bridge)
    const second = advanceBridging(first, at(9, 25), bridge)
    const alone = advanceBridging({ ...first, degHoursSd: 0 }, at(9, 25), bridge).degHoursSd
    expect(second.degHoursSd).toBeCloseTo(Math.hypot(first.degHoursSd, alone), 9)
    expect(advance(second, at(9.1, 25)).degHoursSd).toBe(second.degHoursSd)
    expect(degHoursSdAt(second, START + HOUR)).toBe(0)
    expect(degHoursSdAt(second, START + 4 * HOUR)).toBeCloseTo(first.degHoursSd, 9)
    expect(degHoursSdAt(second, START + 2 * HOUR)).toBeLessThan(first.degHoursSd)
    expect(degHoursSdAt(second, START - HOUR)).toBe(0)
    expect(degHoursSdAt(second, START + 20 * HOUR)).toBe(second.degHoursSd)
  })

  it('counts the doubt of the time before the first sample', () => {
    expect(advance(beginTrace(START), at(0.1, 25)).degHoursSd).toBe(0)
    const late = advance(beginTrace(START), at(2, 25))
    expect(late.degHoursSd).toBeGreaterThan(0.3)
    expect(late.degHoursSd).toBeLessThan(3)
    expect(advance(beginTrace(START), at(6, 25)).degHoursSd).toBeGreaterThan(late.degHoursSd)
    expect(degHoursSdAt(late, START + HOUR)).toBeLessThan(late.degHoursSd)
  })

  it('is asked for a bridge only where one helps', () => {
    expect(endsGap(before, { atMs: START + GAP_MS, waterC: 25 })).toBe(false)
    expect(endsGap(before, { atMs: START + GAP_MS + 1, waterC: 25 })).toBe(true)
    expect(endsGap(beginTrace(START), at(5, 25))).toBe(false)
    const short = { atMs: START + GAP_MS, waterC: 25 }
    expect(advanceBridging(before, short, bridge)).toEqual(advance(before, short))
  })

  it('never falls, ends where it says, and finds its moments again, whatever the bridge', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(gapHours, water, fc.option(anyBridge)), { minLength: 1, maxLength: 8 }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (steps, share) => {
          let trace = before
          let hours = 0
          for (const [step, waterC, known] of steps) {
            hours += step
            const last = trace
            trace = advanceBridging(trace, at(hours, waterC), known)
            expect(trace.degHours).toBeGreaterThanOrEqual(last.degHours)
            expect(trace.degHoursSd).toBeGreaterThanOrEqual(last.degHoursSd)
            expect(Number.isFinite(trace.degHoursSd)).toBe(true)
            // A value stays true when another grows out of it.
            expect(degHoursAt(trace, last.lastAtMs)).toBeCloseTo(last.degHours, 6)
          }
          const moment = START + hours * HOUR * share
          const degH = degHoursAt(trace, moment)
          expect(degH).toBeGreaterThanOrEqual(degHoursAt(trace, moment - HOUR / 2))
          const found = timeOfDegHours(trace, degH)!
          expect(found).toBeLessThanOrEqual(moment + 1)
          expect(Math.abs(degHoursAt(trace, found) - degH)).toBeLessThan(0.0001)
        },
      ),
      { numRuns: 150 },
    )
  })

  it('is the straight line for a bridge that is none', () => {
    const end = at(3, 26)
    for (const bad of [NaN, Infinity, -1, 0]) {
      expect(
        advanceBridging(before, end, { ...bridge, timeConstantH: bad === Infinity ? NaN : bad }).degHours,
      ).toBe(advance(before, end).degHours)
    }
    for (const bad of [NaN, Infinity, -Infinity]) {
      const known = { ...bridge, equilibriumC: bad }
      expect(advanceBridging(before, end, known).degHours).toBe(advance(before, end).degHours)
    }
  })

  it('keeps a bounded number of knots, gap after gap', () => {
    let trace = before
    for (let gap = 1; gap <= 3000; gap++) trace = advanceBridging(trace, at(gap * 2, 25), bridge)
    expect(trace.knotCount).toBeLessThanOrEqual(MAX_KNOTS)
    expect(crossGap(20, 25, 10_000, bridge).points.length).toBeLessThanOrEqual(48)
  })

  it('takes its bridge from the response of the readings before it', () => {
    const readings = Array.from({ length: 1080 }, (_, i) => ({
      atMs: START + i * 10_000,
      waterC: 28 - 8 * Math.exp(-i / 360 / 1.5),
    }))
    const known = bridgeFrom(fitThermalResponse(readings, Infinity, { litres: 1 })!)
    expect(Math.abs(known.equilibriumC - 28)).toBeLessThan(0.05)
    expect(Math.abs(known.timeConstantH - 1.5)).toBeLessThan(0.05)
    expect(known.equilibriumSdC).toBeLessThan(0.3)
  })
})
