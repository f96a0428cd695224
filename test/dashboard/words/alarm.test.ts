import { describe, expect, it } from 'vitest'
import type { Alarm } from '../../../broker/web/api/schemas.ts'
import { ALARM_WORD, alarmWord, isOver } from '../../../dashboard/words/alarm.ts'
import { ruleSentence, ruleSummary } from '../../../dashboard/words/alarm-rule.ts'
import { alarmSpan, firstAct } from '../../../dashboard/words/alarm-span.ts'
import { spoken } from '../../../dashboard/words/alarm-spoken.ts'
import { alarm, iso, NOW_MS, settings } from '../room.ts'

const MIN_MS = 60_000
const zone = { locale: 'en-GB', timeZone: 'UTC' }
const over = { state: 'return-to-normal-unacknowledged', clearedAt: iso(NOW_MS - 5 * MIN_MS) } as const

describe('the name of an alarm', () => {
  it('is one for air that stopped and for too little of it: the number beside it tells which', () => {
    for (const value of [0, null, 0.04])
      expect(alarmWord(alarm({ rule: 'air-lost', value }))).toBe(ALARM_WORD['air-lost'])
  })
  it('tells what was from what is, for every rule', () => {
    for (const rule of Object.keys(ALARM_WORD) as Alarm['rule'][]) {
      if (rule === 'clock-jumped' || rule === 'data-restored') continue
      expect(alarmWord(alarm({ rule, ...over })), rule).toMatch(/\b(was|Was|Could not)\b/)
    }
    expect(alarmWord(alarm({ rule: 'air-lost', value: 0, ...over }))).toBe('Air was lost')
  })
  it('tells heading for the limit from being there', () => {
    expect(alarmWord(alarm({ rule: 'water-heading-hot', value: 12 }))).toBe('Heating up')
    expect(alarmWord(alarm({ rule: 'water-heading-hot', value: 0 }))).toBe('Too hot')
  })
  it('is over in every state that only waits for a person', () => {
    const states = ['return-to-normal-unacknowledged', 'latched', 'latched-acknowledged'] as const
    for (const state of states) expect(isOver(alarm({ state }))).toBe(true)
    for (const state of ['unacknowledged', 'acknowledged', 'shelved'] as const)
      expect(isOver(alarm({ state }))).toBe(false)
  })
})

describe('from when to when', () => {
  const raisedAt = iso(NOW_MS - 20 * MIN_MS)
  it('is since when while it lasts, and who has seen it', () => {
    expect(alarmSpan(alarm({ raisedAt }), NOW_MS, zone)).toBe('since 10:40, 20 min')
    const acknowledgedAt = iso(NOW_MS - 18 * MIN_MS)
    const seen = alarm({ raisedAt, state: 'acknowledged', acknowledgedAt, acknowledgedBy: 'Kim' })
    expect(alarmSpan(seen, NOW_MS, zone)).toBe('since 10:40, 20 min; seen by Kim 10:42')
  })
  it('of a warning is since what it warned of is so, and when it warned', () => {
    const heading = alarm({ rule: 'water-heading-hot', value: 0, raisedAt })
    const hot = alarm({ raisedAt: iso(NOW_MS - 5 * MIN_MS) })
    expect(alarmSpan(heading, NOW_MS, zone, hot)).toBe('since 10:55, 5 min; warned of 10:40')
    expect(alarmSpan(heading, NOW_MS, zone)).toBe('warned of 10:40')
    const seen = (min: number) => ({ acknowledgedAt: iso(NOW_MS - min * MIN_MS), acknowledgedBy: 'Kim' })
    const span = (min: number) => alarmSpan({ ...heading, ...seen(min) }, NOW_MS, zone, hot)
    expect(span(6)).toBe('since 10:55, 5 min; warned of 10:40; the warning was seen by Kim 10:54')
    expect(span(4)).toBe('since 10:55, 5 min; warned of 10:40; seen by Kim 10:56')
    expect(alarmSpan({ ...heading, value: 12 }, NOW_MS, zone)).toBe('since 10:40, 20 min')
  })
  it('is from and to once it is over, and that it is back', () =>
    expect(alarmSpan(alarm({ raisedAt, ...over }), NOW_MS, zone)).toBe(
      'from 10:40 to 10:55, 15 min; back now',
    ))
  it('does not send anybody to what is over', () => {
    const act = (state: Alarm['state']) => firstAct(alarm({ state, action: 'Run.' }))
    expect(act('unacknowledged')).toBe('Run.')
    expect(act('acknowledged')).toBe('Run.')
    for (const state of ['return-to-normal-unacknowledged', 'latched', 'latched-acknowledged'] as const)
      expect(act(state)).not.toContain('Run.')
    expect(act('latched-acknowledged')).toMatch(/reset/)
  })
})

describe('words for an ear', () => {
  const text =
    'The water is 29.5 °C (85.1 °F) and rose by 0.8 °C (1.4 °F). Air: 0.6 l/min; light: 20 lx for 1 min, 12 min.'
  it('say one unit of temperature, the own one, and units as words', () => {
    expect(spoken(text, 'C')).toBe(
      'The water is 29.5 °C and rose by 0.8 °C. Air: 0.6 litres a minute; light: 20 lux for 1 minute, 12 minutes.',
    )
    expect(spoken(text, 'F')).toMatch(/^The water is 85\.1 °F and rose by 1\.4 °F\./)
  })
  it('take one for one and more for more', () => {
    expect(spoken('1 min 1 h 1 s 11 min 21 h 31 s', 'C')).toBe(
      '1 minute 1 hour 1 second 11 minutes 21 hours 31 seconds',
    )
  })
})

describe('what a rule is set to', () => {
  const rules = Object.keys(settings().rules) as Alarm['rule'][]
  it('stands in a short line and in a sentence, for every rule, in both units', () => {
    for (const rule of rules)
      for (const temperatureUnit of ['C', 'F'] as const) {
        const now = { ...settings(), temperatureUnit }
        const line = ruleSummary(rule, now)
        expect(line, rule).toMatch(/, (critical|high|low)$/)
        expect(line.length, `${rule}: ${line}`).toBeLessThanOrEqual(60)
        expect(line, rule).not.toMatch(/undefined|NaN/)
        expect(ruleSentence(rule, now), rule).toMatch(/^Calls .*\.$/)
      }
  })
  it('is in the unit of the person, and says when it is switched off', () => {
    const base = settings()
    const hot = base.rules['water-too-hot']
    expect(ruleSummary('water-too-hot', base)).toBe('from 29.4 °C for 1 min, critical')
    expect(ruleSummary('water-too-hot', { ...base, temperatureUnit: 'F' })).toMatch(/^from 84\.9 °F/)
    const off = { ...base, rules: { ...base.rules, 'water-too-hot': { ...hot, enabled: false } } }
    expect(ruleSummary('water-too-hot', off)).toBe('switched off')
    expect(ruleSentence('water-too-hot', off)).toMatch(/nobody is called/)
  })
})
