import { describe, expect, it } from 'vitest'
import { placeTime } from '../../broker/intake/place.ts'
import { NOW } from './fakes.ts'

const MINUTE = 60_000
const DAY = 86_400_000

describe('placing a time', () => {
  it.each([
    [0, NOW],
    [-5, NOW - 5000],
    [-0.25, NOW - 250],
    [-43_200, NOW - DAY / 2],
    [5, NOW],
    [2.5, NOW],
    [NOW / 1000 - 60, NOW - MINUTE],
    [NOW / 1000 + 300, NOW + 5 * MINUTE],
    [NOW / 1000 - 400 * 86_400, NOW - 400 * DAY],
    [-400 * 86_400, NOW - 400 * DAY],
  ])('%d s is %d', (timeS, atMs) => {
    expect(placeTime(timeS, NOW, NOW)).toBe(atMs)
  })

  // RFC 8428 section 4.5.3: below 2^28 a time is relative, so the year 1978 is far in the future here.
  it.each([
    5.001,
    3600,
    2 ** 28 - 1,
    2 ** 28,
    NOW / 1000 + 300.001,
    NOW / 1000 - 400 * 86_400 - 1,
    -400 * 86_400 - 1,
    -1e300,
    1e300,
  ])('%d s is not believed', timeS => {
    expect(placeTime(timeS, NOW, NOW)).toMatch(/^its time .* (ahead|ago|future)/)
  })

  it('a relative time hangs on the sending, an absolute one on nothing', () => {
    expect(placeTime(-5, NOW - MINUTE, NOW)).toBe(NOW - MINUTE - 5000)
    expect(placeTime(NOW / 1000 - 5, NOW - MINUTE, NOW)).toBe(NOW - 5000)
  })
})
