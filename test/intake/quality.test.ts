import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { faultOf } from '../../broker/intake/faults.ts'
import { FROZEN_MS } from '../../broker/intake/frozen.ts'
import { createJudge } from '../../broker/intake/quality.ts'
import { NOW } from './fakes.ts'

const MINUTE = 60_000
const HOUR = 3_600_000

/** DS18B20 datasheet, temperature register table: the value of each 16-bit register content. */
const ds18b20 = (register: number) => (register > 0x7fff ? register - 0x10000 : register) / 16

describe('what a single value gives away', () => {
  it('a DS18B20 that lost power, is disconnected, or answers with zeroes', () => {
    expect(faultOf('water', ds18b20(0x0550), null)).toBe('power-on')
    expect(faultOf('room', ds18b20(0x0550), 24)).toBe('power-on')
    expect(faultOf('water', -127, 27)).toBe('disconnected')
    expect(faultOf('water', ds18b20(0x0000), 27)).toBe('all-zero')
  })

  it('the datasheet has other values, and none of them is one of these', () => {
    // +25.0625 and +0.5 °C; -10.125 and +125 °C are no water.
    expect(faultOf('water', ds18b20(0x0191), null)).toBe('good')
    expect(faultOf('water', ds18b20(0x0008), null)).toBe('good')
    expect(faultOf('water', ds18b20(0xff5e), null)).toBe('out-of-range')
    expect(faultOf('water', ds18b20(0x07d0), null)).toBe('out-of-range')
  })

  it('85 and 0 are believed of a probe that was next to them a moment ago', () => {
    expect(faultOf('water', 85, 84.9375)).toBe('good')
    expect(faultOf('water', 0, 0.0625)).toBe('good')
  })

  it.each([
    ['water', -5.1],
    ['water', 105.1],
    ['air', -1.1],
    ['air', 501],
    ['light', -6],
    ['light', 200_001],
    ['room', -41],
  ] as const)('%s of %d is out of range', (quantity, value) => {
    expect(faultOf(quantity, value, null)).toBe('out-of-range')
  })

  it('unknown quantities, no air and darkness are never faults', () => {
    for (const value of [-127, 85, 0, 1e9]) expect(faultOf('other', value, null)).toBe('good')
    for (const value of [0, -0.5, 85]) expect(faultOf('air', value, null)).toBe('good')
    expect(faultOf('light', 0, null)).toBe('good')
  })
})

describe('frozen', () => {
  const feed = (values: (index: number) => number, stepMs: number, spanMs: number) => {
    const water = createJudge().of('d')
    const qualities = new Map<number, string>()
    for (let index = 0; index * stepMs <= spanMs; index++)
      qualities.set(index * stepMs, water.judge('water', 'water', values(index), NOW + index * stepMs))
    return qualities
  }

  it('not one step for six hours', () => {
    const qualities = feed(() => 27.0625, MINUTE, 7 * HOUR)
    expect(qualities.get(FROZEN_MS - MINUTE)).toBe('good')
    expect(qualities.get(FROZEN_MS)).toBe('frozen')
    expect(qualities.get(7 * HOUR)).toBe('frozen')
  })

  it('one step is enough to be alive', () => {
    const qualities = feed(index => (index === 200 ? 27.125 : 27.0625), MINUTE, 8 * HOUR)
    expect(new Set(qualities.values())).toEqual(new Set(['good']))
  })

  it('a probe that steps by halves may hold for longer', () => {
    const qualities = feed(index => (index < 10 ? 26.5 : 27), MINUTE, 25 * HOUR)
    expect(qualities.get(12 * HOUR)).toBe('good')
    expect(qualities.get(25 * HOUR)).toBe('frozen')
  })

  it('three readings in six hours prove nothing, nor does a silence', () => {
    expect(new Set(feed(() => 27, 3 * HOUR, 48 * HOUR).values())).toEqual(new Set(['good']))
    const water = createJudge().of('d')
    for (let minute = 0; minute < 60; minute++) water.judge('water', 'water', 27, NOW + minute * MINUTE)
    expect(water.judge('water', 'water', 27, NOW + 8 * HOUR)).toBe('good')
  })
})

describe('out of the water', () => {
  const probe = () => {
    const water = createJudge().of('d')
    let second = 0
    return (value: number, forSeconds = 1) => {
      let quality = ''
      for (let i = 0; i < forSeconds; i++)
        quality = water.judge('water', 'water', Math.round(value * 16) / 16, NOW + second++ * 1000)
      return quality
    }
  }
  /** Newton's cooling: what a probe in air shows, its time constant a minute. */
  const cooling = (from: number, to: number, second: number, tauS = 60) =>
    to + (from - to) * Math.exp(-second / tauS)

  it('a fall that no water makes is named, and ends when the probe is back', () => {
    const take = probe()
    take(27, 120)
    const qualities = Array.from({ length: 180 }, (_, second) => take(cooling(27, 21, second)))
    expect(qualities.slice(0, 10)).not.toContain('out-of-water')
    expect(new Set(qualities.slice(40))).toEqual(new Set(['out-of-water']))
    expect(take(21.4, 60)).toBe('out-of-water')
    expect(take(26.5)).toBe('good')
    expect(take(27, 60)).toBe('good')
  })

  it('a batch that cools without its lamp is not', () => {
    const take = probe()
    take(28, 120)
    // Half a litre, time constant 40 min, 15 °C above its room: faster than any vessel here.
    for (let second = 0; second < 7200; second++) expect(take(cooling(28, 13, second, 2400))).toBe('good')
  })

  it('cold water poured in falls at once and stands: not', () => {
    const take = probe()
    take(28, 120)
    take(26, 1)
    for (let second = 0; second < 600; second++) expect(take(24)).toBe('good')
  })

  it('ten minutes without a further fall, and the value is what it is', () => {
    const take = probe()
    take(27, 120)
    for (let second = 0; second < 600; second++) take(cooling(27, 21, second))
    // 6 °C with a time constant of a minute have fallen to within a step of the probe (1/16 °C) after some 5 min.
    expect(take(21, 200)).toBe('out-of-water')
    expect(take(21, 200)).toBe('good')
    expect(take(21, 200)).toBe('good')
  })

  it('with a reading a minute a fall counts from one to the next', () => {
    const water = createJudge().of('d')
    expect(water.judge('water', 'water', 27, NOW)).toBe('good')
    expect(water.judge('water', 'water', 25.625, NOW + MINUTE)).toBe('good')
    expect(water.judge('water', 'water', 24, NOW + 2 * MINUTE)).toBe('out-of-water')
  })

  it('a rise is never masked', () => {
    const start = fc.double({ min: 15, max: 40, noNaN: true })
    const steps = fc.array(fc.double({ min: -3, max: 3, noNaN: true }), { minLength: 50, maxLength: 300 })
    fc.assert(
      fc.property(start, steps, fc.integer({ min: 1, max: 60 }), (first, list, everyS) => {
        const water = createJudge().of('d')
        let value = first
        let highest = -Infinity
        let lowestSince = Infinity
        for (const [index, step] of list.entries()) {
          value = Math.min(84, Math.max(0.5, value + step))
          const quality = water.judge('water', 'water', value, NOW + index * everyS * 1000)
          // Above all that was seen, or a degree above the lowest since it was last believed.
          if (value > highest) expect(quality).toBe('good')
          if (value >= lowestSince + 1) expect(quality).toBe('good')
          highest = Math.max(highest, value)
          lowestSince = quality === 'good' ? value : Math.min(lowestSince, value)
        }
      }),
      { numRuns: 500 },
    )
  })
})

describe('what is remembered', () => {
  it('a backlog after newer values is judged by each value alone', () => {
    const water = createJudge().of('d')
    for (let second = 0; second < 60; second++) water.judge('water', 'water', 27, NOW + second * 1000)
    expect(water.judge('water', 'water', 20, NOW - HOUR)).toBe('good')
    expect(water.judge('water', 'water', -127, NOW - HOUR)).toBe('disconnected')
    expect(water.judge('water', 'water', 27, NOW + 61_000)).toBe('good')
  })

  it('channels do not share memory, and beyond the limit values are judged alone', () => {
    const device = createJudge().of('d')
    for (let vessel = 0; vessel < 64; vessel++) device.judge(`${vessel}/water`, 'water', 84, NOW)
    expect(device.judge('0/water', 'water', 85, NOW + 1)).toBe('good')
    device.judge('64/water', 'water', 84, NOW)
    expect(device.judge('64/water', 'water', 85, NOW + 1)).toBe('power-on')
  })
})
