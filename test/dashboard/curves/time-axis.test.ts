import { describe, expect, it } from 'vitest'
import { timeLabels, timeSpace } from '../../../dashboard/curves/time-axis.ts'
import { HOUR_MS } from '../room.ts'

const vienna = { locale: 'de-AT', timeZone: 'Europe/Vienna' }
const newYork = { locale: 'en-US', timeZone: 'America/New_York' }
const MINUTE_MS = 60_000

const labels = (zone: typeof vienna, from: string, stepMs: number, count: number) =>
  timeLabels(
    Array.from({ length: count }, (_, index) => Date.parse(from) + index * stepMs),
    zone,
  ).map(label => label.replace(/\s/gu, ' '))

describe('labels of the time axis', () => {
  it('are hours, and the day’s name alone where a day begins', () => {
    expect(labels(newYork, '2026-11-26T02:00:00Z', 3 * HOUR_MS, 3)).toEqual(['9 PM', 'Thu', '3 AM'])
    expect(labels(vienna, '2026-11-25T20:00:00Z', 3 * HOUR_MS, 3)).toEqual(['21:00', 'Thu', '03:00'])
  })
  it('have minutes and seconds only where the marks are that close', () => {
    expect(labels(newYork, '2026-11-25T17:30:00Z', 30 * MINUTE_MS, 3)).toEqual([
      '12:30 PM',
      '1 PM',
      '1:30 PM',
    ])
    expect(labels(vienna, '2026-11-25T09:59:30Z', 15_000, 4)).toEqual([':30', ':45', '11:00', ':15'])
    expect(labels(vienna, '2026-11-25T22:59:45Z', 15_000, 3)).toEqual([':45', 'Thu', ':15'])
  })
  it('are days over days, with the date when the weekday would come twice', () => {
    expect(labels(vienna, '2026-11-24T23:00:00Z', 24 * HOUR_MS, 3)).toEqual(['Wed', 'Thu', 'Fri'])
    expect(labels(vienna, '2026-11-24T23:00:00Z', 48 * HOUR_MS, 5)[0]).toBe('25 Nov')
  })
  it('are of the zone’s days when its clock goes back', () => {
    // Central European summer time ends on 25 October 2026 (EU directive 2000/84/EC): that day has 25 hours.
    expect(labels(vienna, '2026-10-24T22:00:00Z', 25 * HOUR_MS, 2)).toEqual(['Sun', 'Mon'])
  })
  it('leave room for the widest of them', () => {
    const perSign = (text: string) => text.length * 7
    expect(timeSpace(newYork, perSign)).toBeGreaterThan(perSign('12:50 AM'))
    expect(timeSpace(vienna, perSign)).toBeGreaterThan(perSign('12:50'))
    expect(timeSpace(vienna, perSign)).toBeLessThan(timeSpace(newYork, perSign))
    for (const zone of [vienna, newYork])
      for (let hour = 0; hour < 24; hour++)
        for (const label of labels(zone, `2026-11-25T${String(hour).padStart(2, '0')}:50:00Z`, MINUTE_MS, 1))
          expect(perSign(label)).toBeLessThan(timeSpace(zone, perSign))
  })
})
