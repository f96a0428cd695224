import { describe, expect, it } from 'vitest'
import { TREND_MS, waterTrend } from '../../../dashboard/words/trend.ts'
import { NOW_MS } from '../room.ts'

/** A reading each 30 s up to now. */
const over = (minutes: number, waterC: (minute: number) => number) => {
  const t = Array.from({ length: minutes * 2 + 1 }, (_, index) => NOW_MS - (minutes * 2 - index) * 30_000)
  return { t, mean: t.map(at => waterC((at - NOW_MS) / 60_000)) }
}

describe('the trend of the water', () => {
  it('is rising or falling when a straight line through it is', () => {
    expect(
      waterTrend(
        over(10, minute => 30 + minute * 0.05),
        NOW_MS,
      ),
    ).toBe('rising')
    expect(
      waterTrend(
        over(10, minute => 30 - minute * 0.05),
        NOW_MS,
      ),
    ).toBe('falling')
  })
  it('is steady within the noise and the steps of a probe', () => {
    // A DS18B20 at 12 bit counts in steps of 0.0625 °C (datasheet).
    expect(
      waterTrend(
        over(10, minute => 30 + (minute % 1 === 0 ? 0 : 0.0625)),
        NOW_MS,
      ),
    ).toBe('steady')
    expect(
      waterTrend(
        over(10, minute => (minute < -0.2 ? 30 : 30.0625)),
        NOW_MS,
      ),
    ).toBe('steady')
  })
  it('looks at the newest minutes only', () => {
    const turned = over(60, minute => (minute < -10 ? 30 - minute * 0.1 : 31 + minute * 0.1))
    expect(waterTrend(turned, NOW_MS)).toBe('rising')
  })
  it('is not known from too little, or from what is old', () => {
    expect(waterTrend({ t: [], mean: [] }, NOW_MS)).toBeNull()
    expect(
      waterTrend(
        over(2, minute => 30 + minute),
        NOW_MS,
      ),
    ).toBeNull()
    expect(
      waterTrend(
        over(10, minute => 30 + minute),
        NOW_MS + TREND_MS + 1,
      ),
    ).toBeNull()
    expect(waterTrend({ t: [NOW_MS - 300_000, NOW_MS], mean: [29, 30] }, NOW_MS)).toBeNull()
  })
})
