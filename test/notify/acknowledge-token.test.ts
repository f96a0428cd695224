import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { makeToken, readToken } from '../../broker/notify/acknowledge-token.ts'
import { waitMs } from '../../broker/notify/backoff.ts'
import { alarmWords, oneLine } from '../../broker/notify/words.ts'
import { ALARM_NAME } from '../../broker/rules/alarm-name.ts'
import { ALARM_WORD } from '../../dashboard/words/alarm.ts'
import { anAlarm } from './rig/people.ts'

const key = Buffer.alloc(32, 7)
const grant = { alarmId: 'x1', personId: 'p1', untilMs: 1000 }

describe('the token of a link', () => {
  it('is valid for its alarm and person until its end, and fits an address as it is', () => {
    const token = makeToken(key, grant)
    expect(encodeURIComponent(token)).toBe(token)
    expect(readToken(key, token, 999)).toEqual(grant)
    expect(readToken(key, token, 1000)).toBeNull()
    expect(readToken(Buffer.alloc(32, 8), token, 999)).toBeNull()
  })

  it('is worth nothing once a character of it is another', () => {
    const token = makeToken(key, grant)
    fc.assert(
      fc.property(fc.nat(token.length - 1), fc.string({ minLength: 1, maxLength: 1 }), (at, other) => {
        fc.pre(token[at] !== other)
        expect(readToken(key, token.slice(0, at) + other + token.slice(at + 1), 0)).toBeNull()
      }),
      { numRuns: 2000 },
    )
  })

  it('is not found in whatever else is sent', () => {
    fc.assert(
      fc.property(
        fc.string({ unit: 'binary', maxLength: 500 }),
        text => void expect(readToken(key, text, 0)).toBeNull(),
      ),
    )
  })
})

describe('the wait before another attempt', () => {
  it('grows, by chance between half and all of it, to five minutes at most', () => {
    expect([1, 2, 3, 9, 10, 2000].map(n => waitMs(n, 1))).toEqual([
      1000, 2000, 4000, 256_000, 300_000, 300_000,
    ])
    expect([1, 2, 3].map(n => waitMs(n, 0))).toEqual([500, 1000, 2000])
    expect(waitMs(1, 0.5, 60_000)).toBe(60_000)
    expect(waitMs(1, 0.5, 86_400_000)).toBe(300_000)
  })
})

describe('words', () => {
  it('say first what has happened and where, then what to do', () => {
    expect(alarmWords(anAlarm(), 'Cone 1', 'raised')).toEqual({
      title: 'Too hot, Cone 1: Switch the lamp off.',
      text: 'The water is 30.1 °C. Switch the lamp off.',
    })
    expect(alarmWords(anAlarm(), 'Cone 1', 'over').title).toBe('Over: Too hot, Cone 1')
    expect(alarmWords(anAlarm({ action: '' }), null, 'raised').title).toMatch(
      /^Too hot: The water is 30\.1 °C\./,
    )
  })

  it('call a warning that has come true what it warned of, and every alarm as the dashboard does', () => {
    const warned = anAlarm({ rule: 'water-heading-hot', reason: 'heading-for-limit', value: 12 })
    expect(alarmWords(warned, 'Cone 1', 'raised').title).toMatch(/^Heating up, Cone 1: /)
    const come = { ...warned, reason: 'above-limit', value: 0 } as const
    expect(alarmWords(come, 'Cone 1', 'again').title).toMatch(/^Too hot, Cone 1: /)
    expect(ALARM_NAME).toEqual(ALARM_WORD)
  })

  it('tell who hears late when it was so, and how the water is by now', () => {
    const saidMs = Date.UTC(2026, 0, 10, 3, 57)
    const water = { atMs: saidMs + 32 * 60_000, value: 28.9 }
    const sent = { saidMs, nowMs: saidMs + 33 * 60_000, zone: 'Europe/Berlin', water, unit: 'C' } as const
    const { text } = alarmWords(anAlarm(), 'Cone 1', 'escalated', sent)
    expect(text.split('\n')).toEqual([
      'Nobody who was called before you has answered.',
      'At 05:29 the water was 28.9 °C (84.0 °F).',
      'This is how it was at 04:57, 33 min before this message:',
      'The water is 30.1 °C. Switch the lamp off.',
    ])
    const none = alarmWords(anAlarm(), 'Cone 1', 'again', { ...sent, water: null })
    expect(none.text).not.toContain('28.9')
    expect(none.text).toContain('04:57')
    const atOnce = alarmWords(anAlarm(), 'Cone 1', 'raised', { ...sent, nowMs: saidMs + 5000 })
    expect(atOnce.text).toBe('The water is 30.1 °C. Switch the lamp off.')
  })

  it('tell temperatures in the unit of the house first, the title too', () => {
    const saidMs = Date.UTC(2026, 0, 10, 3, 57)
    const water = { atMs: saidMs + 32 * 60_000, value: 28.9 }
    const action = 'Cool it below 29.4 °C (84.9 °F).'
    const both = anAlarm({ action, text: `It fell by -0.5 °C (-0.9 °F). ${action}` })
    const sent = { saidMs, nowMs: saidMs + 33 * 60_000, zone: 'UTC', water, unit: 'F' } as const
    const { title, text } = alarmWords(both, 'Cone 1', 'raised', sent)
    expect(title).toBe('Too hot, Cone 1: Cool it below 84.9 °F (29.4 °C).')
    expect(text.split('\n')).toEqual([
      'At 04:29 the water was 84.0 °F (28.9 °C).',
      'This is how it was at 03:57, 33 min before this message:',
      'It fell by -0.9 °F (-0.5 °C). Cool it below 84.9 °F (29.4 °C).',
    ])
    expect(alarmWords(both, 'Cone 1', 'over', sent).text).not.toMatch(/[\d] °C(?!\))/)
  })

  it('are one line of at most 150 characters, whatever a vessel is called', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 400 }), text => {
        const line = oneLine(text)
        expect(line.length).toBeLessThanOrEqual(150)
        expect(line).not.toMatch(/[\r\n\0]/)
      }),
    )
  })
})
