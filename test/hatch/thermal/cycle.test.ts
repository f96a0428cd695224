import { describe, expect, it } from 'vitest'
import { ThermalMemory } from '../../../broker/hatch/thermal/memory.ts'
import { timeToLimit } from '../../../broker/hatch/thermal/time-to-limit.ts'
import { seededRandom } from '../../../sim/random.ts'

const START = 1_764_000_000_000
const HOUR = 3_600_000

/** A vessel of one litre whose heater a thermostat switches; at `stuckH` it stays on. Sampled each ten seconds. */
function* thermostat(
  hours: number,
  { onC = 36, offC = 21, low = 26.8, high = 27.6, stuckH = Infinity } = {},
) {
  const random = seededRandom(4)
  let waterC = 26
  let on = true
  for (let at = 0; at <= hours * 360; at++) {
    const hour = at / 360
    if (waterC > high) on = false
    if (waterC < low || hour >= stuckH) on = true
    waterC += ((on ? onC : offC) - waterC) * -Math.expm1(-1 / 360 / 1.5)
    yield {
      atMs: START + at * 10_000,
      waterC: Math.round((waterC + 0.03 * random.normal()) * 16) / 16,
      on,
      hour,
    }
  }
}

describe('a heater that cycles', () => {
  it('is seen for what it is after two cycles: a level with a swing', () => {
    const memory = new ThermalMemory({ litres: 1 })
    for (const reading of thermostat(4)) memory.take(reading)
    const { cycle, levelC, equilibriumC } = memory.fit()!
    expect(cycle).not.toBeNull()
    // Between the thermostat's two points, a little more for what is under way when it switches.
    expect(cycle!.swingC).toBeGreaterThan(0.7)
    expect(cycle!.swingC).toBeLessThan(1.2)
    expect(Math.abs(cycle!.meanC - 27.2)).toBeLessThan(0.15)
    expect(Math.abs(levelC.p50 - 27.2)).toBeLessThan(0.15)
    expect(Math.abs(equilibriumC.p50 - 27.2)).toBeLessThan(0.3)
    expect(cycle!.periodMs).toBeGreaterThan(10 * 60_000)
    expect(cycle!.periodMs).toBeLessThan(40 * 60_000)
  })

  it('is never called a course to the limit while it cycles', () => {
    const memory = new ThermalMemory({ litres: 1 })
    for (const reading of thermostat(8)) {
      memory.take(reading)
      if (reading.hour < 1 || reading.atMs % 60_000 !== 0) continue
      expect(timeToLimit(memory.fit()!, 29.4, reading.atMs)).toBeNull()
    }
  })

  it('is called when it sticks, well before the limit', () => {
    const memory = new ThermalMemory({ litres: 1 })
    const stuckH = 5
    let calledMs: number | null = null
    let crossedMs: number | null = null
    for (const reading of thermostat(7, { stuckH })) {
      memory.take(reading)
      if (reading.waterC >= 29.4) crossedMs ??= reading.atMs
      if (calledMs === null && reading.hour > 1 && crossedMs === null) {
        if (timeToLimit(memory.fit()!, 29.4, reading.atMs) !== null) calledMs = reading.atMs
      }
    }
    expect(calledMs).toBeGreaterThan(START + stuckH * HOUR)
    // From the top of its swing at 6 °C/h the limit is some 20 min away; half of that is needed to see that it does not turn.
    expect(crossedMs! - calledMs!).toBeGreaterThan(6 * 60_000)
  })

  it('crosses a limit with its peaks, not with its mean', () => {
    const memory = new ThermalMemory({ litres: 1 })
    let last = START
    for (const reading of thermostat(4)) {
      memory.take(reading)
      last = reading.atMs
    }
    const response = memory.fit()!
    const { meanC, swingC } = response.cycle!
    expect(timeToLimit(response, meanC + 0.3 * swingC, last)!.p50).toBe(last)
    expect(timeToLimit(response, meanC + 0.9 * swingC, last)).toBeNull()
  })

  it.each([
    ['steady', () => 27],
    ['warming', (hour: number) => 27 - 7 * Math.exp(-hour / 1.5)],
    ['swinging by day', (hour: number) => 27 + Math.cos((hour / 24) * 2 * Math.PI)],
  ] as const)('is not seen in a %s vessel', (_, water) => {
    const random = seededRandom(8)
    const memory = new ThermalMemory()
    for (let at = 0; at < 12 * 360; at++) {
      memory.take({ atMs: START + at * 10_000, waterC: water(at / 360) + 0.03 * random.normal() })
      if (at % 60 === 0) expect(memory.fit()!.cycle).toBeNull()
    }
  })
})
