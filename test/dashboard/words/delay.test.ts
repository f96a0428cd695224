import { describe, expect, it } from 'vitest'
import type { Forecast } from '../../../broker/web/api/forecast.ts'
import { delaySentence, delaySummary, headingText, lagText } from '../../../dashboard/words/delay.ts'
import { HOUR_MS, iso, NOW_MS } from '../room.ts'

const zone = { locale: 'de-AT', timeZone: 'Europe/Vienna' } // noon is 11:00 UTC
const STARTED_MS = NOW_MS - 14 * HOUR_MS
const plain = (text: string) => text.replaceAll('\u00a0', ' ')
const reason = (change: Partial<Forecast['why'][number]> = {}): Forecast['why'][number] => ({
  kind: 'cooler',
  since: iso(NOW_MS - (9 * HOUR_MS + 50 * 60_000)),
  laterH: 1 + 50 / 60,
  waterC: 25.1,
  plannedC: 27.2,
  ...change,
})
const say = (change: Partial<Forecast['why'][number]>, unit: 'C' | 'F' = 'C') =>
  plain(delaySentence(reason(change), unit, STARTED_MS, NOW_MS, zone))

describe('a delay in words', () => {
  it('always has its sign, in steps of five minutes', () => {
    expect(plain(lagText(1 + 50 / 60))).toBe('+1 h 50')
    expect(plain(lagText(-40 / 60))).toBe('−40 min')
    expect(plain(lagText(2))).toBe('+2 h')
    expect(plain(lagText(1 + 3 / 60))).toBe('+1 h 05')
    expect(plain(lagText(1.999))).toBe('+2 h')
    expect(plain(lagText(-25.25))).toBe('−25 h 15')
  })
  it('says in one line how the whole stands to the plan', () => {
    expect(delaySummary([])).toBe('')
    expect(plain(delaySummary([reason()]))).toBe('Later than planned: +1 h 50')
    expect(plain(delaySummary([reason({ laterH: -2.5 }), reason()]))).toBe('Sooner than planned: −40 min')
    expect(delaySummary([reason(), reason({ laterH: -1.8 })])).toMatch(/^As planned/)
  })
  it('says since when the water is off, from what, and what it costs', () => {
    expect(say({})).toBe('Cooler than planned since 02:10 (25.1 °C instead of 27.2 °C): +1 h 50.')
    expect(say({ since: iso(STARTED_MS + 60_000) })).toMatch(/^Cooler than planned from the start \(/)
    expect(say({}, 'F')).toBe('Cooler than planned since 02:10 (77.2 °F instead of 81.0 °F): +1 h 50.')
    expect(say({ kind: 'warmer', since: null, waterC: 28.5, laterH: -0.5 })).toBe(
      'Warmer than planned for a while, no longer (28.5 °C instead of 27.2 °C): −30 min.',
    )
  })
  it('tells what is expected from what was measured', () => {
    expect(say({ expected: true })).toBe(
      'The water is expected to be cooler than planned (25.1 °C instead of 27.2 °C): +1 h 50.',
    )
    expect(say({ expected: false })).toMatch(/^Cooler than planned since/)
  })
  it('says of heat that stops development that it does not help', () => {
    expect(say({ kind: 'warmer', since: null, waterC: 34.5, laterH: 2 })).toMatch(
      /beyond what helps: \+2 h\.$/,
    )
  })
  it('tells a gap, and the lot, from the water', () => {
    expect(say({ kind: 'unmeasured', waterC: 24 })).toMatch(
      /^No readings for a time from 02:10 on; .*24\.0 °C/,
    )
    const lot = { since: null, waterC: null, plannedC: null }
    expect(say({ ...lot, kind: 'slower-lot' })).toMatch(/slower than was believed.*\+1 h 50/)
    expect(say({ ...lot, kind: 'faster-lot', laterH: -1 })).toMatch(/faster than was believed.*−1 h/)
  })
})

describe('where the water is heading', () => {
  const heading = (p10: number, p50: number, p90: number | null): Forecast['heading'] => ({
    limitC: 29.4,
    at: {
      p10: iso(NOW_MS + p10 * HOUR_MS),
      p50: iso(NOW_MS + p50 * HOUR_MS),
      p90: p90 === null ? null : iso(NOW_MS + p90 * HOUR_MS),
    },
  })
  const told = (of: Forecast['heading'], unit: 'C' | 'F' = 'C') => plain(headingText(of, unit, NOW_MS, zone))
  it('is told with its band, in both units', () => {
    expect(told(null)).toBe('')
    expect(told(heading(3.75, 4, 4.5))).toBe('On this course 29.4 °C (84.9 °F) at about 16:00 (15:45–16:30).')
    expect(told(heading(4, 4, 4.003))).toBe('On this course 29.4 °C (84.9 °F) at about 16:00.')
    expect(told(heading(3.75, 4, 4.5), 'F')).toMatch(/84\.9 °F \(29\.4 °C\)/)
  })
  it('names the day when it is another, and leaves open what may never be', () => {
    expect(told(heading(13, 14, 16))).toBe(
      'On this course 29.4 °C (84.9 °F) at about tomorrow 02:00 (tomorrow 01:00–04:00).',
    )
    expect(told(heading(1, 2, null))).toMatch(/at about 14:00 \(13:00, or not at all\)\.$/)
  })
  it('is not told of water that is there already, nor as of now of water that is not heard', () => {
    const at = heading(3.75, 4, 4.5)
    const beside = (waterC: number, heardMs: number | null = null) =>
      plain(headingText(at, 'C', NOW_MS, zone, waterC, heardMs))
    expect(beside(29.4)).toBe('')
    expect(beside(30.6, NOW_MS - HOUR_MS)).toBe('')
    expect(beside(28, NOW_MS - HOUR_MS / 4)).toBe(
      'Last heard 11:45, on its way to 29.4 °C (84.9 °F). Look at it.',
    )
    // Beside a reading that looks like the limit both have one more digit.
    expect(beside(29.375)).toMatch(/^On this course 29\.40 °C \(84\.92 °F\) at/)
  })
  it('never speaks of a crossing in the past as to come', () => {
    expect(told(heading(-1, -0.5, 0.2))).toBe('On this course the water passes 29.4 °C (84.9 °F) now.')
    expect(told(heading(-1, 0.5, 1))).toMatch(/\(12:00–13:00\)/)
  })
})
