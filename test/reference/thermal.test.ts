// The thermal response against Newton's law of cooling, T(t) = E + (T0 - E)·exp(-t / tau), in closed form. Where a published
// worked example is used it is named; all other numbers come from the law itself.
import { describe, expect, it } from 'vitest'
import { crossGap } from '../../broker/hatch/development/gap-bridge.ts'
import { developmentRate } from '../../broker/hatch/development/thermal-clock.ts'
import { projectWater } from '../../broker/hatch/thermal/projection.ts'
import { fitThermalResponse } from '../../broker/hatch/thermal/response.ts'
import { timeToLimit } from '../../broker/hatch/thermal/time-to-limit.ts'

const START = 1_764_000_000_000
const HOUR = 3_600_000

const newton = (fromC: number, headsToC: number, tauH: number) => (hours: number) =>
  headsToC + (fromC - headsToC) * Math.exp(-hours / tauH)
const measured = (water: (hours: number) => number, hours: number, everyMs: number) =>
  Array.from({ length: Math.round((hours * HOUR) / everyMs) + 1 }, (_, at) => ({
    atMs: START + at * everyMs,
    waterC: water((at * everyMs) / HOUR),
  }))

describe('noiseless Newton’s law gives back what made it', () => {
  it.each([
    // from, heads to, tau h, watched h, every s, litres
    [20, 30, 1.5, 3, 5, undefined],
    [20, 30, 1.5, 3, 10, 1],
    [20, 30, 1.5, 3, 60, undefined],
    [15, 33, 1.2, 3, 10, undefined],
    [30, 18, 2.5, 4, 10, 3],
    [26, 31, 0.8, 2, 10, undefined],
    [32, 24, 2, 4, 60, 2],
  ])(
    'from %d to %d °C, tau %d h, watched %d h every %d s, litres %s',
    (from, to, tauH, hours, everyS, litres) => {
      const water = newton(from, to, tauH)
      const readings = measured(water, hours, everyS * 1000)
      const nowMs = START + hours * HOUR
      const response = fitThermalResponse(readings, nowMs, litres === undefined ? {} : { litres })!
      expect(Math.abs(response.equilibriumC.p50 - to)).toBeLessThan(1e-3 * Math.abs(to - from))
      expect(Math.abs(response.timeConstantH.p50 / tauH - 1)).toBeLessThan(1e-3)
      expect(Math.abs(response.levelC.p50 - water(hours))).toBeLessThan(1e-3)
      expect(response.timeConstantH.p10).toBeLessThan(tauH)
      expect(response.timeConstantH.p90).toBeGreaterThan(tauH)

      // A limit on half of the way that is left: reached after tau·ln 2.
      const limitC = (water(hours) + to) / 2
      const crossing = timeToLimit(response, limitC, nowMs)!
      expect(Math.abs(crossing.p50 - (nowMs + tauH * Math.LN2 * HOUR))).toBeLessThan(15_000)
      // Beyond where it heads it never comes.
      expect(timeToLimit(response, to + Math.sign(to - from), nowMs)).toBeNull()

      const then = projectWater(response, nowMs).at(nowMs + tauH * HOUR)
      expect(Math.abs(then.levelC - water(hours + tauH))).toBeLessThan(0.05)
    },
  )
})

describe('a published worked example', () => {
  // OpenStax, Calculus Volume 1 (2016), section 6.8, the example of the coffee (from memory, not read here): poured at 200 °F into
  // a room of 70 °F it is at 180 °F after two minutes; it is cool enough, 175 °F, after about 2.5 min, and too cold, 155 °F, after
  // about 5 min. Newton's law knows no scale: a minute there is 10 min here, and 10 °F there is 1 °C here, with the room at 18 °C.
  const celsius = (fahrenheit: number) => 18 + (fahrenheit - 70) / 10
  const minutes = (count: number) => count * 10 * 60_000

  it('is cool enough after about 2.5 and too cold after about 5 minutes', () => {
    const tauMin = -2 / Math.log((180 - 70) / (200 - 70))
    const coffee = newton(celsius(200), celsius(70), (tauMin * 10) / 60)
    const nowMs = START + minutes(2)
    const response = fitThermalResponse(measured(coffee, 2 / 6, 5000), nowMs, { litres: 1 })!
    // So early its own readings cannot tell where it heads; with the room measured the rest is the law.
    const known = {
      ...response,
      cases: [
        {
          weight: 1,
          tauH: (tauMin * 10) / 60,
          levelC: celsius(180),
          equilibriumC: celsius(70),
          levelVar: 0,
          covariance: 0,
          equilibriumVar: 0,
          sinceAt: 0,
        },
      ],
    }
    expect(response.levelC.p50).toBeCloseTo(celsius(180), 3)
    const after = (limit: number) => (timeToLimit(known, celsius(limit), nowMs)!.p50 - START) / minutes(1)
    expect(Math.abs(after(175) - 2.5)).toBeLessThan(0.1)
    expect(Math.abs(after(155) - 5)).toBeLessThan(0.1)
  })
})

describe('a gap bridged by Newton’s law', () => {
  it('is that law where the reading after the gap is what it foretells', () => {
    const [fromC, headsToC, tauH, hours] = [20, 28, 1.5, 3]
    const water = newton(fromC, headsToC, tauH)
    const { points } = crossGap(fromC, water(hours), hours, {
      equilibriumC: headsToC,
      equilibriumSdC: 0,
      timeConstantH: tauH,
    })
    for (const { hours: at, waterC } of points) expect(waterC).toBeCloseTo(water(at), 9)
    // The integral of the rate T - 11 along the law, in closed form.
    const exact = (headsToC - 11) * hours + (fromC - headsToC) * tauH * (1 - Math.exp(-hours / tauH))
    expect(developmentRate(20)).toBe(9)
    expect(Math.abs(points.at(-1)!.degHours - exact)).toBeLessThan(0.05)
  })

  it('doubts as the integral of an Ornstein-Uhlenbeck process between tied ends does', () => {
    // Closed form against the definition: the covariance of a tied process, summed over a grid. Ends and line alike, so that
    // nothing but the process is in doubt; its standard deviation, an own choice, is divided out by comparing two lengths.
    const variance = (hours: number, tauH: number) =>
      crossGap(27, 27, hours, { equilibriumC: 27, equilibriumSdC: 0, timeConstantH: tauH }).variance
    const byDefinition = (hours: number, tauH: number) => {
      const steps = 400
      const wide = hours / steps
      const free = (a: number, b: number) => Math.exp(-Math.abs(a - b) / tauH)
      // Tied to the values at 0 and at the end: subtract the projection on both.
      const ends = free(0, hours)
      const scale = 1 - ends * ends
      let sum = 0
      for (let i = 0; i < steps; i++) {
        const s = (i + 0.5) * wide
        for (let j = 0; j < steps; j++) {
          const t = (j + 0.5) * wide
          const [s0, s1, t0, t1] = [free(s, 0), free(s, hours), free(t, 0), free(t, hours)]
          sum += (free(s, t) - (s0 * t0 + s1 * t1 - ends * (s0 * t1 + s1 * t0)) / scale) * wide * wide
        }
      }
      return sum
    }
    const unit = variance(2, 1.5) / byDefinition(2, 1.5)
    expect(variance(0.5, 1.5) / byDefinition(0.5, 1.5) / unit).toBeCloseTo(1, 2)
    expect(variance(12, 1.5) / byDefinition(12, 1.5) / unit).toBeCloseTo(1, 2)
    expect(variance(6, 4) / byDefinition(6, 4) / unit).toBeCloseTo(1, 2)
  })
})
