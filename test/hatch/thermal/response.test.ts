import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { WaterSample } from '../../../broker/hatch/contract.ts'
import { ThermalMemory } from '../../../broker/hatch/thermal/memory.ts'
import { fitThermalResponse, type ThermalResponse } from '../../../broker/hatch/thermal/response.ts'
import { seededRandom } from '../../../sim/random.ts'

const START = 1_764_000_000_000
const HOUR = 3_600_000
const MINUTE = 60_000

/** A probe of the DS18B20 kind: steps of 0.0625 °C (datasheet), scatter of 0.03 °C (own assumption). */
const probed = (
  water: (hours: number) => number,
  hours: number,
  everyMs: number,
  seed = 1,
): WaterSample[] => {
  const random = seededRandom(seed)
  return Array.from({ length: Math.round((hours * HOUR) / everyMs) + 1 }, (_, at) => ({
    atMs: START + at * everyMs,
    waterC: Math.round((water((at * everyMs) / HOUR) + 0.03 * random.normal()) * 16) / 16,
  }))
}
const newton =
  (from: number, to: number, tauH: number, sinceH = 0) =>
  (hours: number) =>
    hours < sinceH ? from : to + (from - to) * Math.exp(-(hours - sinceH) / tauH)
const fit = (readings: readonly WaterSample[], options = {}): ThermalResponse =>
  fitThermalResponse(readings, Infinity, options)!
const bandsOf = ({ levelC, equilibriumC, timeConstantH }: ThermalResponse) => [
  levelC,
  equilibriumC,
  timeConstantH,
]

describe('a thermal response', () => {
  it('is not there before anything was measured', () => {
    expect(fitThermalResponse([], START)).toBeNull()
    expect(fitThermalResponse([{ atMs: START, waterC: NaN }], START)).toBeNull()
    expect(fitThermalResponse([{ atMs: START + 1, waterC: 27 }], START)).toBeNull()
  })

  it('holds the truth in its 80 % bands about as often as it says, over a probe’s scatter', () => {
    let level = 0
    let equilibrium = 0
    let tau = 0
    const runs = 60
    for (let seed = 1; seed <= runs; seed++) {
      const random = seededRandom(seed)
      const tauH = 1.5 * Math.exp(0.35 * random.normal())
      const to = 25 + 6 * random.uniform()
      const water = newton(20, to, tauH)
      const hours = 0.5 + 2 * random.uniform()
      const response = fit(probed(water, hours, 10_000, seed), { litres: 1 })
      const within = ({ p10, p90 }: { p10: number; p90: number }, value: number) =>
        p10 <= value && value <= p90 ? 1 : 0
      level += within(response.levelC, water(hours))
      equilibrium += within(response.equilibriumC, to)
      tau += within(response.timeConstantH, tauH)
    }
    // A room wanders and here it does not, so the bands may hold too often, not too seldom.
    for (const held of [level, equilibrium, tau]) expect(held).toBeGreaterThan(0.7 * runs)
  })

  it('is honestly wide about the time constant of steady water, and by its litres', () => {
    const steady = probed(() => 27.2, 2, 10_000)
    const any = fit(steady).timeConstantH
    expect(any.p90 / any.p10).toBeGreaterThan(2)
    const small = fit(steady, { litres: 0.7 }).timeConstantH
    const large = fit(steady, { litres: 20 }).timeConstantH
    expect(large.p50).toBeGreaterThan(2 * small.p50)
    expect(small.p90 / small.p10).toBeLessThan(any.p90 / any.p10)
  })

  it('narrows as more is seen', () => {
    const readings = probed(newton(20, 28, 1.5), 3, 10_000)
    const widths = [0.25, 0.75, 2, 3].map(hours => {
      const { p10, p90 } = fit(readings.filter(({ atMs }) => atMs <= START + hours * HOUR)).equilibriumC
      return p90 - p10
    })
    expect(widths).toEqual([...widths].sort((a, b) => b - a))
  })

  it('lets what was before a step belong to the past, and says since when', () => {
    for (const [to, seed] of [
      [35, 1],
      [20, 2],
    ] as const) {
      const readings = probed(newton(27, to, 1.5, 3), 3.4, 10_000, seed)
      const response = fit(readings, { litres: 1 })
      expect(Math.abs(response.sinceMs - (START + 3 * HOUR))).toBeLessThan(4 * MINUTE)
      expect(Math.abs(response.equilibriumC.p50 - to)).toBeLessThan(2.5)
    }
  })

  it('keeps what it learned of the time constant over a step', () => {
    // An hour and a half of warming tells the time constant; then the lamp dies, and ten minutes later it is still known.
    const tauH = 3
    const warmed = newton(18, 27, tauH)
    const cooled = newton(warmed(3), 20, tauH, 3)
    const water = (hours: number) => (hours < 3 ? warmed(hours) : cooled(hours))
    const { timeConstantH } = fit(probed(water, 3.2, 10_000), { litres: 1 })
    expect(Math.abs(timeConstantH.p50 / tauH - 1)).toBeLessThan(0.15)
    expect(timeConstantH.p90 / timeConstantH.p10).toBeLessThan(1.6)
  })

  it('sees a top-up with cold water as a new beginning, not as a wild course', () => {
    const water = (hours: number) => (hours < 2 ? 27.2 : 27.2 - 2.5 * Math.exp(-(hours - 2) / 1.5))
    const { levelC, equilibriumC } = fit(probed(water, 2.75, 10_000), { litres: 1 })
    expect(Math.abs(levelC.p50 - water(2.75))).toBeLessThan(0.05)
    expect(Math.abs(equilibriumC.p50 - 27.2)).toBeLessThan(1.5)
  })

  it.each([
    ['spikes in one reading of twenty', 10_000, 20],
    ['spikes in one reading of twenty, a reading a minute', 60_000, 20],
  ])('is not led off by %s', (_, everyMs, oneOf) => {
    const clean = probed(newton(22, 28, 1.5), 3, everyMs)
    const random = seededRandom(9)
    const spiked = clean.map(sample =>
      random.uniform() < 1 / oneOf
        ? { ...sample, waterC: sample.waterC + 8 * (random.uniform() - 0.5) }
        : sample,
    )
    expect(Math.abs(fit(spiked).levelC.p50 - fit(clean).levelC.p50)).toBeLessThan(0.12)
    expect(Math.abs(fit(spiked).equilibriumC.p50 - 28)).toBeLessThan(0.6)
  })

  it('works with a reading a second, each five minutes, and with gaps', () => {
    const water = newton(21, 27.5, 1.6)
    for (const readings of [
      probed(water, 3, 1000),
      probed(water, 3, 5 * MINUTE),
      probed(water, 3, 10_000).filter(({ atMs }) => Math.floor((atMs - START) / (20 * MINUTE)) % 3 !== 1),
    ]) {
      const { equilibriumC, levelC } = fit(readings)
      expect(Math.abs(equilibriumC.p50 - 27.5)).toBeLessThan(0.5)
      expect(Math.abs(levelC.p50 - water(3))).toBeLessThan(0.06)
    }
  })

  it('tells how far single readings scatter', () => {
    const random = seededRandom(3)
    const noisy = Array.from({ length: 1500 }, (_, at) => ({
      atMs: START + at * 10_000,
      waterC: 27 + 0.2 * random.normal(),
    }))
    expect(fit(noisy).noiseC / 0.2).toBeGreaterThan(0.6)
    expect(fit(noisy).noiseC / 0.2).toBeLessThan(1.6)
  })
})

describe('the memory of a thermal response', () => {
  const anyReading = fc.record({
    stepMs: fc.oneof(
      fc.integer({ min: -1000, max: 20_000 }),
      fc.integer({ min: 20_000, max: 3 * HOUR }),
      fc.constantFrom(NaN, Infinity),
    ),
    waterC: fc.oneof(
      fc.double({ min: 15, max: 35, noNaN: true }),
      fc.double(),
      fc.constantFrom(NaN, Infinity, -Infinity, 85, -127, 1e308),
    ),
  })
  const readingsOf = (steps: { stepMs: number; waterC: number }[]) => {
    let atMs = START
    return steps.map(({ stepMs, waterC }) => ({
      atMs: Number.isFinite(stepMs) ? (atMs += stepMs) : stepMs,
      waterC,
    }))
  }

  it('is the same whether fits are asked for on the way or not, and as one fit over all', () => {
    fc.assert(
      fc.property(
        fc.array(anyReading, { maxLength: 300 }),
        fc.integer({ min: 1, max: 40 }),
        (steps, every) => {
          const readings = readingsOf(steps)
          const asked = new ThermalMemory({ litres: 2 })
          readings.forEach((reading, at) => {
            asked.take(reading)
            if (at % every === 0) asked.fit()
          })
          const whole = fitThermalResponse(
            readings.filter(({ atMs }) => Number.isFinite(atMs)),
            Number.MAX_SAFE_INTEGER,
            { litres: 2 },
          )
          expect(asked.fit()).toEqual(whole)
        },
      ),
      { numRuns: 60 },
    )
  })

  it('gives ordered bands of plain numbers for any input', () => {
    const sane = fc.record({
      stepMs: fc.integer({ min: 1000, max: 10 * MINUTE }),
      waterC: fc.double({ min: -55, max: 125, noNaN: true }),
    })
    fc.assert(
      fc.property(fc.array(sane, { minLength: 1, maxLength: 300 }), steps => {
        const response = fitThermalResponse(readingsOf(steps), Number.MAX_SAFE_INTEGER)!
        for (const { p10, p50, p90 } of bandsOf(response)) {
          expect([p10, p50, p90].every(Number.isFinite)).toBe(true)
          expect(p10).toBeLessThanOrEqual(p50)
          expect(p50).toBeLessThanOrEqual(p90)
        }
        const weights = response.cases.reduce((sum, { weight }) => sum + weight, 0)
        expect(weights).toBeCloseTo(1, 9)
        for (const { tauH, levelVar, equilibriumVar } of response.cases) {
          expect(tauH).toBeGreaterThan(0)
          expect(levelVar).toBeGreaterThanOrEqual(0)
          expect(equilibriumVar).toBeGreaterThanOrEqual(0)
        }
      }),
      { numRuns: 100 },
    )
  })

  it('heads the higher, the warmer all readings are', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 16, max: 30, noNaN: true }),
        fc.double({ min: 16, max: 30, noNaN: true }),
        fc.double({ min: 0.1, max: 5, noNaN: true }),
        (from, to, warmer) => {
          const readings = probed(newton(from, to, 1.5), 1.5, 30_000)
          const cool = fit(readings)
          const warm = fit(readings.map(({ atMs, waterC }) => ({ atMs, waterC: waterC + warmer })))
          expect(warm.levelC.p50 - cool.levelC.p50).toBeCloseTo(warmer, 2)
          expect(warm.equilibriumC.p50).toBeGreaterThan(cool.equilibriumC.p50)
        },
      ),
      { numRuns: 25 },
    )
  })

  it('stays bounded over weeks', () => {
    const memory = new ThermalMemory()
    for (let at = 0; at < 60_000; at++) {
      memory.take({ atMs: START + at * 30_000, waterC: 27 + 2 * Math.sin(at / 500) })
    }
    // Its pieces, of which there are at most 30 of a minute, 40 of five minutes, and the one being gathered.
    expect(memory.fit()!.pieces).toBeLessThanOrEqual(71)
  })
})
