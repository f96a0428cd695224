import { describe, expect, it } from 'vitest'
import { Occasion } from '../../broker/notify/contract.ts'
import { alarmWords } from '../../broker/notify/words.ts'
import type { Alarm } from '../../broker/rules/alarm.ts'
import { alarm } from '../store/examples.ts'

const NOW_MS = Date.UTC(2026, 0, 10, 3, 12)
const MINUTE_MS = 60_000
const call = (more: Partial<Alarm>): Alarm => ({
  ...alarm('a1'),
  raisedAtMs: NOW_MS - 60 * MINUTE_MS,
  announcedAtMs: NOW_MS,
  acknowledgedAtMs: null,
  text: 'The air is gone.',
  ...more,
})
const text = (of: Alarm, occasion: Occasion) =>
  alarmWords(of, 'Cone 1', occasion, { saidMs: NOW_MS, nowMs: NOW_MS, zone: 'UTC', water: null, unit: 'C' })
    .text

describe('a message about what was acknowledged before', () => {
  it('says by whom and when, and that it still holds', () => {
    const seen = call({ seenBefore: { atMs: NOW_MS - 30 * MINUTE_MS, by: 'Ada' } })
    expect(text(seen, Occasion.again)).toBe(
      'Ada acknowledged it at 02:42, 30 min ago, and it still holds.\nThe air is gone.',
    )
  })
  it('or that it comes back', () => {
    const back = call({ seenBefore: { atMs: NOW_MS - 180 * MINUTE_MS, by: null } })
    expect(text(back, Occasion.raised)).toBe(
      'It comes back: Somebody acknowledged it at 00:12, 3 h ago, and it was over since.\nThe air is gone.',
    )
  })
  it('says nothing of it where nobody had, or somebody has by now', () => {
    expect(text(call({}), Occasion.again)).toBe('It still stands.\nThe air is gone.')
    const seenBefore = { atMs: NOW_MS - 30 * MINUTE_MS, by: 'Ada' }
    expect(text(call({ seenBefore, acknowledgedAtMs: NOW_MS }), Occasion.raised)).toBe('The air is gone.')
  })
})
