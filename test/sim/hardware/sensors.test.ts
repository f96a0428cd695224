import { describe, expect, it } from 'vitest'
import { AirFlowSensor } from '../../../sim/hardware/air-flow-sensor.ts'
import { courseAt } from '../../../sim/hardware/course.ts'
import { LightSensor } from '../../../sim/hardware/light-sensor.ts'
import { ProbeFault, TemperatureProbe } from '../../../sim/hardware/temperature-probe.ts'
import { seededRandom } from '../../../sim/random.ts'

const probe = (offsetC = 0, startC = 27) => new TemperatureProbe({ offsetC }, startC, seededRandom(5))
const mean = (values: number[]) => values.reduce((a, b) => a + b) / values.length

describe('a temperature probe', () => {
  it('answers in steps of a sixteenth of a degree, scattered around water plus its own error', () => {
    const bench = probe(0.3)
    const seen = Array.from({ length: 2000 }, () => bench.read())
    // DS18B20 datasheet: 12 bits are 0.0625 °C.
    for (const value of seen) expect(Number.isInteger(value * 16)).toBe(true)
    expect(mean(seen)).toBeCloseTo(27.3, 1)
    expect(new Set(seen).size).toBeGreaterThan(1)
  })

  it('lags behind the water by half a minute, and reaches it', () => {
    const bench = probe(0, 20)
    bench.step(25, 30, 20)
    expect(bench.read()).toBeGreaterThan(25.5)
    expect(bench.read()).toBeLessThan(27)
    bench.step(600, 30, 20)
    expect(bench.read()).toBeCloseTo(30, 0)
  })

  it('answers each fault as such a probe does', () => {
    const bench = probe()
    const says = (fault: ProbeFault) => {
      bench.fault = fault
      return bench.read()
    }
    // DS18B20 datasheet: 85 after power-up. -127 is what drivers report for a probe that is gone.
    expect(says(ProbeFault.powerOn)).toBe(85)
    expect(says(ProbeFault.disconnected)).toBe(-127)
    expect(says(ProbeFault.allZero)).toBe(0)
    const frozen = says(ProbeFault.frozen)
    bench.step(3600, 35, 20)
    expect(Array.from({ length: 50 }, () => bench.read())).toEqual(Array(50).fill(frozen))
    bench.fault = ProbeFault.none
    expect(bench.read()).toBeCloseTo(35, 0)
  })

  it('out of the water follows the room, faster than water ever cools', () => {
    const bench = probe()
    bench.fault = ProbeFault.outOfWater
    bench.step(120, 27, 20)
    expect(bench.read()).toBeLessThan(24)
    bench.step(3600, 27, 20)
    expect(bench.read()).toBeCloseTo(20, 0)
  })
})

describe('the other sensors', () => {
  it('air flow pulses around what flows, and is near zero without', () => {
    const sensor = new AirFlowSensor(seededRandom(2))
    expect(mean(Array.from({ length: 500 }, () => sensor.read(0.5)))).toBeCloseTo(0.5, 1)
    for (let i = 0; i < 500; i++) {
      const none = sensor.read(0)
      expect(none).toBeGreaterThanOrEqual(0)
      expect(none).toBeLessThan(0.03)
    }
  })

  it('light is within a fifth of the truth and never beyond what 16 bits hold', () => {
    for (let seed = 0; seed < 50; seed++) {
      const sensor = new LightSensor(seededRandom(seed))
      // BH1750 datasheet: ±20 % part to part; 1.2 counts a lux.
      const seen = mean(Array.from({ length: 200 }, () => sensor.read(3000)))
      expect(Math.abs(seen / 3000 - 1)).toBeLessThan(0.21)
      expect(sensor.read(0)).toBe(0)
      expect(sensor.read(1e6)).toBeCloseTo(65_535 / 1.2, 0)
    }
  })
})

describe('a course', () => {
  it('turns at once or over hours, from wherever it stands', () => {
    const turns = [
      { atH: 2, to: 0.5, overH: 4 },
      { atH: 4, to: 2 },
      { atH: 6, to: 0, overH: 1 },
    ]
    expect([0, 1.99, 3, 3.999, 4, 5, 6.5, 7, 100].map(h => Number(courseAt(1, turns, h).toFixed(2)))).toEqual(
      [1, 1, 0.88, 0.75, 2, 2, 1, 0, 0],
    )
  })
})
