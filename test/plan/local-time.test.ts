import { describe, expect, it } from 'vitest'
import { dayOf, minuteOfDay, minutesOf, momentAt } from '../../broker/plan/local-time.ts'
import { wakefulness } from '../../broker/plan/wake.ts'
import { feedingsOf } from '../../broker/plan/feedings.ts'
import { cohort } from './rooms.ts'

const day = (text: string) => Date.parse(`${text}T00:00:00Z`)
const at = (text: string) => Date.parse(text)

// Europe/Berlin goes from UTC+1 to UTC+2 on 2026-03-29 at 01:00 UTC and back on 2026-10-25 at 01:00 UTC (IANA time zone database).
describe('times of day in a zone', () => {
  it('are moments', () => {
    expect(momentAt(day('2026-03-28'), minutesOf('08:00'), 'Europe/Berlin')).toBe(at('2026-03-28T07:00:00Z'))
    expect(momentAt(day('2026-03-29'), minutesOf('08:00'), 'Europe/Berlin')).toBe(at('2026-03-29T06:00:00Z'))
    expect(momentAt(day('2026-03-02'), minutesOf('08:00'), 'Asia/Kathmandu')).toBe(at('2026-03-02T02:15:00Z'))
    expect(momentAt(day('2026-03-02'), minutesOf('00:00'), 'Pacific/Kiritimati')).toBe(
      at('2026-03-01T10:00:00Z'),
    )
  })

  // RFC 5545, section 3.3.5: a time that does not occur is read with the offset before the gap; of one that occurs twice it is the first.
  it('that the clocks skip or repeat are as RFC 5545 has them', () => {
    expect(momentAt(day('2026-03-29'), minutesOf('02:30'), 'Europe/Berlin')).toBe(at('2026-03-29T01:30:00Z'))
    expect(momentAt(day('2026-10-25'), minutesOf('02:30'), 'Europe/Berlin')).toBe(at('2026-10-25T00:30:00Z'))
  })

  it('come back from moments', () => {
    expect(dayOf(at('2026-03-01T23:30:00Z'), 'Europe/Berlin')).toBe(day('2026-03-02'))
    expect(minuteOfDay(at('2026-07-01T06:05:00Z'), 'Europe/Berlin')).toBe(8 * 60 + 5)
  })

  it('are refused where they are none', () => {
    for (const bad of ['', '8', '8:00', '24:00', '12:60', '12:0', 'noon'])
      expect(() => minutesOf(bad)).toThrow(/Cannot read time of day/)
  })

  it('say when a person is up, past midnight too', () => {
    const awake = wakefulness({ from: '09:00', until: '01:00' }, 'UTC')
    const hours = [0, 1, 2, 8, 9, 23].map(hour => awake(at('2026-03-02T00:00:00Z') + hour * 3_600_000))
    expect(hours).toEqual([true, true, false, false, true, true])
  })
})

describe('feedings', () => {
  const span = (from: string, until: string) => ({
    fromMs: at(from),
    untilMs: at(until),
    zone: 'Europe/Berlin',
  })

  it('keep their time of day when the clocks change', () => {
    const meals = feedingsOf(
      [cohort({ times: ['08:00'] })],
      span('2026-03-28T00:00:00Z', '2026-03-30T12:00:00Z'),
    )
    expect(meals.map(({ atMs }) => new Date(atMs).toISOString())).toEqual([
      '2026-03-28T07:00:00.000Z',
      '2026-03-29T06:00:00.000Z',
      '2026-03-30T06:00:00.000Z',
    ])
    expect(new Set(meals.map(({ id }) => id)).size).toBe(3)
  })

  it('split the ration of the age evenly, from the age on at which it begins', () => {
    const bornMs = at('2026-03-10T00:00:00Z')
    const ration = [
      { fromDay: 2, naupliiPerFry: 100 },
      { fromDay: 4, naupliiPerFry: 180 },
    ]
    const meals = feedingsOf(
      [cohort({ fry: 10, bornMs, ration })],
      span('2026-03-10T00:00:00Z', '2026-03-14T12:00:00Z'),
    )
    expect(meals.map(({ nauplii }) => nauplii)).toEqual([500, 500, 500, 500, 900])
  })

  it('end when the group does', () => {
    const endsMs = at('2026-03-11T12:00:00Z')
    const meals = feedingsOf([cohort({ endsMs })], span('2026-03-11T00:00:00Z', '2026-03-13T00:00:00Z'))
    expect(meals).toHaveLength(1)
  })
})
