import { describe, expect, it } from 'vitest'
import {
  calendarDays,
  clockListed,
  clockTime,
  dayWord,
  duration,
  exactly,
  listed,
  localInput,
  moment,
  next,
  span,
} from '../../../dashboard/words/time.ts'

const vienna = { locale: 'de-AT', timeZone: 'Europe/Vienna' }
const newYork = { locale: 'en-US', timeZone: 'America/New_York' }
const at = (iso: string) => Date.parse(iso)

describe('clockTime', () => {
  it('reads 24 h with two digits where the locale does', () => {
    expect(clockTime(at('2026-11-25T05:40:00Z'), vienna)).toBe('06:40')
    expect(clockTime(at('2026-11-24T23:05:00Z'), vienna)).toBe('00:05')
  })
  it('reads 12 h where the locale does', () => {
    expect(clockTime(at('2026-11-25T11:40:00Z'), newYork)).toBe('6:40\u00a0AM')
  })
})

describe('a list that passes midnight', () => {
  const now = at('2026-11-25T22:30:00Z') // 23:30 in Vienna
  const [late, early, noon] = [
    at('2026-11-24T22:50:00Z'),
    at('2026-11-24T23:05:00Z'),
    at('2026-11-25T11:00:00Z'),
  ]
  it('names each day, today too', () => {
    const all = [late, early, noon]
    expect(all.map(each => listed(each, all, now, vienna))).toEqual([
      'yesterday 23:50',
      'today 00:05',
      'today 12:00',
    ])
    expect(all.map(each => clockListed(each, all, vienna))).toEqual([
      '24\u00a0Nov 23:50',
      '25\u00a0Nov 00:05',
      '25\u00a0Nov 12:00',
    ])
  })
  it('and none where all is of one day', () => {
    expect([early, noon].map(each => listed(each, [early, noon], now, vienna))).toEqual(['00:05', '12:00'])
    expect(clockListed(noon, [early, noon], vienna)).toBe('12:00')
    expect(listed(late, [late], now, vienna)).toBe('yesterday 23:50')
  })
})

describe('the day before a time', () => {
  const now = at('2026-11-25T22:30:00Z') // 23:30 in Vienna
  it('is left out today and said otherwise, by the calendar of the zone', () => {
    expect(moment(at('2026-11-25T22:50:00Z'), now, vienna)).toBe('23:50')
    expect(moment(at('2026-11-25T23:10:00Z'), now, vienna)).toBe('tomorrow 00:10')
    expect(moment(at('2026-11-24T22:00:00Z'), now, vienna)).toBe('yesterday 23:00')
    expect(moment(at('2026-11-25T23:10:00Z'), now, newYork)).not.toContain('tomorrow')
  })
  it('is a weekday within the week and a date beyond', () => {
    expect(dayWord(at('2026-11-28T10:00:00Z'), now, vienna)).toBe('Sat')
    expect(dayWord(at('2026-12-03T10:00:00Z'), now, vienna)).toBe('3\u00a0Dec')
  })
  it('counts one day over a change of the clock, though that day has 25 hours', () => {
    // Central European summer time ends on 25 October 2026 (EU directive 2000/84/EC).
    expect(calendarDays(at('2026-10-24T22:30:00Z'), at('2026-10-25T23:30:00Z'), vienna)).toBe(1)
  })
})

describe('duration', () => {
  it.each([
    [400, '0 s'],
    [59_000, '59 s'],
    [60_000, '1 min'],
    [3_600_000, '1 h'],
    [3_600_000 * 3 + 60_000 * 20, '3 h 20 min'],
    [3_600_000 * 20, '20 h'],
    [3_600_000 * 50, '2 days'],
    [-5, '0 s'],
  ])('%d ms is %s', (ms, text) => expect(duration(ms)).toBe(text))
})

it('localInput writes the zone’s wall clock as a field takes it', () => {
  expect(localInput(at('2026-11-25T23:05:00Z'), vienna)).toBe('2026-11-26T00:05')
})

describe('a length of time that was set', () => {
  it('is to the second while it is short', () => {
    const said = [45, 60, 100, 179, 180, 599, 600, 660, 5400].map(s => exactly(s * 1000))
    expect(said).toEqual([
      '45 s',
      '1 min',
      '1 min 40 s',
      '2 min 59 s',
      '3 min',
      '9 min 59 s',
      '10 min',
      '11 min',
      '1 h 30 min',
    ])
  })
})

describe('two moments', () => {
  const now = at('2026-11-25T11:00:00Z') // a Wednesday, noon in Vienna
  const h = (hours: number) => now + hours * 3_600_000
  it('have their day each, unless it is today', () => {
    expect(next(h(30), h(27), now, vienna)).toBe('tomorrow 18:00')
    expect(next(h(3), h(-20), now, vienna)).toBe('today 15:00')
    expect(next(h(3), h(1), now, vienna)).toBe('15:00')
    expect(next(h(27.5), h(26), now, newYork)).toBe('tomorrow 9:30\u00a0AM')
  })
  it('have it once where they are one span', () => {
    expect(span(h(1), h(3), now, vienna)).toBe('13:00–15:00')
    expect(span(h(27), h(30), now, vienna)).toBe('tomorrow 15:00–18:00')
    expect(span(h(11), h(14), now, vienna)).toBe('23:00–tomorrow 02:00')
    expect(span(h(-14), h(1), now, vienna)).toBe('yesterday 22:00–today 13:00')
  })
})
