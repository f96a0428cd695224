import { describe, expect, it } from 'vitest'
import type { CountAtTime } from '../../../broker/hatch/counts/hatching-times.ts'
import { hatchingTimes } from '../../../broker/hatch/counts/hatching-times.ts'
import { Chance } from './chance.ts'

const series = (...points: readonly (readonly [atH: number, nauplii: number])[]): CountAtTime[] =>
  points.map(([atH, nauplii]) => ({ atH, nauplii, ml: 1 }))

describe('hatching times', () => {
  it('are read off straight lines between the counts', () => {
    // Of 1000: 5 % at 10 h, 15 % at 12 h, so 10 % at 11 h; 85 % at 18 h, 95 % at 20 h, so 90 % at 19 h.
    const { t10, t90, synchrony } = hatchingTimes(
      series([10, 50], [12, 150], [14, 400], [18, 850], [20, 950], [24, 1000]),
    )
    expect(t10.best).toBeCloseTo(11, 9)
    expect(t90.best).toBeCloseTo(19, 9)
    expect(synchrony.best).toBeCloseTo(8, 9)
  })

  it('count what falls by chance as level, weighed by its water', () => {
    // 900 in 1 ml and 1640 in 2 ml are together 2540 in 3 ml, 846.67 a ml: 84.67 % of the last.
    const { t90 } = hatchingTimes([
      { atH: 10, nauplii: 0, ml: 1 },
      { atH: 16, nauplii: 900, ml: 1 },
      { atH: 18, nauplii: 1640, ml: 2 },
      { atH: 20, nauplii: 1000, ml: 1 },
    ])
    expect(t90.best).toBeCloseTo(18 + (2 * (0.9 - 2540 / 3000)) / (1 - 2540 / 3000), 9)
  })

  it('have limits at counted times, wider for fewer counted', () => {
    const share = [0, 0.02, 0.3, 0.6, 0.97, 1, 1]
    const of = (final: number) =>
      hatchingTimes(share.map((part, at) => ({ atH: 8 + 2 * at, nauplii: Math.round(part * final), ml: 1 })))
    const [many, few] = [of(20_000), of(50)]
    // 2 % at 10 h and 30 % at 12 h; 60 % at 14 h and 97 % at 16 h.
    expect(many.t10).toMatchObject({ low: 10, high: 12 })
    expect(many.t90).toMatchObject({ low: 14, high: 16 })
    expect(many.synchrony).toMatchObject({ low: 2, high: 6 })
    expect(few.t10.low).toBeLessThanOrEqual(many.t10.low)
    expect(few.t90.high).toBeGreaterThan(many.t90.high)
  })

  it('hold the truth within their limits in at least 95 of 100 simulated series', () => {
    const chance = new Chance(20_261)
    const medianH = 20
    const spread = 0.12
    const share = (atH: number) => 1 / (1 + Math.exp(-1.702 * (Math.log(atH / medianH) / spread)))
    const timeOf = (part: number) => medianH * Math.exp((spread * Math.log(part / (1 - part))) / 1.702)
    const truth = [timeOf(0.1), timeOf(0.9), timeOf(0.9) - timeOf(0.1)] as const
    const held = [0, 0, 0]
    let told = 0
    let refused = 0
    let off = 0
    for (let run = 0; run < 200; run++) {
      const counts = Array.from({ length: 11 }, (_, at) => 10 + 2.5 * at).map(atH => ({
        atH,
        nauplii: chance.poisson(80 * share(atH)),
        ml: 1,
      }))
      try {
        const { t10, t90, synchrony } = hatchingTimes(counts)
        told++
        off += Math.abs(t10.best - truth[0]) / 200
        for (const [at, { low, high }] of [t10, t90, synchrony].entries()) {
          if (low <= truth[at]! && truth[at]! <= high) held[at]!++
        }
      } catch {
        refused++
      }
    }
    expect(refused).toBeLessThan(30)
    for (const times of held) expect(times / told).toBeGreaterThanOrEqual(0.95)
    expect(off).toBeLessThan(1)
  })

  it('are refused when the series does not bracket the hatch', () => {
    expect(() => hatchingTimes(series([18, 40], [20, 80], [22, 90], [24, 100]))).toThrow(
      'Cannot tell hatching times: the first count must be before 10 % are out, got 40 %',
    )
    expect(() => hatchingTimes(series([10, 0], [16, 30], [20, 60], [24, 100]))).toThrow(
      'the last count but one must be at the final number, got 60 % of the last',
    )
    expect(() => hatchingTimes(series([10, 0], [16, 0], [20, 0]))).toThrow(
      'nauplii must be more than 0 at the last count, got 0',
    )
  })

  it.each([
    [series([10, 0], [20, 100]), 'counts must be 3 to 200, got 2'],
    [
      series([10, 0], [10, 5], [20, 100]),
      'counts.1.atH must be 0 or more, and later than the one before, got 10',
    ],
    [series([NaN, 0], [12, 5], [20, 100]), 'counts.0.atH'],
    [series([10, 0], [12, 5.5], [20, 100]), 'counts.1.nauplii must be a whole number'],
    [
      [...series([10, 0], [12, 5]), { atH: 20, nauplii: 100, ml: 0 }],
      'counts.2.ml must be more than 0, got 0',
    ],
  ])('%#: are refused, and it is said why', (counts, because) => {
    expect(() => hatchingTimes(counts)).toThrow(`Cannot tell hatching times: ${because}`)
  })
})
