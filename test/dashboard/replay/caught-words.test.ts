import { describe, expect, it } from 'vitest'
import type { Caught } from '../../../broker/web/api/sooner.ts'
import { calledText, soonerText, todayText } from '../../../dashboard/replay/caught-words.ts'
import { defaultSettings } from '../../../broker/room/settings.ts'
import { settings as present } from '../../../broker/web/present.ts'

const at = (clock: string) => `2026-01-05T${clock}:00.000Z`
const reader = { nowMs: Date.parse(at('12:00')), zone: { locale: 'en-GB', timeZone: 'UTC' } }
const settings = present(defaultSettings)
const heading = settings.rules['water-heading-hot']
const search = {
  state: 'done',
  progress: 1,
  now: { rule: 'water-heading-hot', calledAt: at('02:28') },
  found: {
    rule: 'water-heading-hot',
    knob: 'limit',
    setting: { ...heading, limit: 45 },
    calledAt: at('02:10'),
    gainedMin: 18,
  },
  refused: null,
  tried: 8,
  checked: 12,
  cut: false,
  error: null,
} as const
const caught: Caught = {
  cause: 'too-hot',
  damageAt: at('02:40'),
  called: {
    rule: 'water-heading-hot',
    calledAt: at('02:28'),
    alarmId: 'a1',
    acknowledgedAt: at('02:37'),
    acknowledgedBy: 'Ada',
    overAt: at('02:50'),
    calls: 1,
  },
  unwatched: null,
  search,
}

describe('what called', () => {
  it('is told against the beginning of the damage, and with who came', () => {
    expect(calledText(caught, reader)).toBe(
      'Heating up called 02:28, 12 min before the damage began. Ada acknowledged it 02:37, 9 min later.',
    )
    const late = { ...caught.called!, calledAt: at('03:10'), acknowledgedAt: null }
    expect(calledText({ ...caught, called: late }, reader)).toBe(
      'Heating up called 03:10, 30 min after the damage began. Nobody acknowledged it.',
    )
    expect(calledText({ ...caught, called: null }, reader)).toBe(
      'No alarm called for this cause itself. It began 02:40.',
    )
    expect(
      calledText({ ...caught, called: null, damageAt: null }, reader, 'No air called first, 01:00.'),
    ).toBe(
      'No alarm called for this cause itself. The calls in the log were about other things: No air called first, 01:00.',
    )
  })
})

describe('what was called for, acknowledged, and went on', () => {
  const called = { ...caught.called!, overAt: at('10:53'), calls: 12 }
  it('is said with its hours, up to the end of the batch at the most', () => {
    expect(calledText({ ...caught, called }, reader)).toBe(
      'Heating up called 02:28, 12 min before the damage began. Ada acknowledged it 02:37, 9 min later; the water stayed too hot for 8 h 16 min after that, though it called 12 times in all.',
    )
    const ended = { ...reader, untilMs: Date.parse(at('09:37')) }
    for (const overAt of [null, at('10:53')])
      expect(calledText({ ...caught, called: { ...called, overAt, calls: 1 } }, ended)).toMatch(
        /9 min later; the water stayed too hot for 7 h after that\.$/,
      )
  })
  it('is counted above the limit by the readings, as the diagnosis counts it', () => {
    const hot = [{ fromMs: Date.parse(at('02:40')), toMs: Date.parse(at('10:45')) }]
    expect(calledText({ ...caught, called }, { ...reader, hot })).toMatch(
      /the water stayed too hot for 8 h 5 min after that/,
    )
    expect(calledText({ ...caught, called }, { ...reader, hot: [] })).toMatch(/9 min later\.$/)
  })
  it('does not want a sooner call', () => {
    const none = { ...search, found: null }
    expect(soonerText({ ...caught, called, search: none }, settings, reader)).toMatch(
      /^It was called, and acknowledging ended nothing: .* 8 were tried\.$/,
    )
    expect(soonerText({ ...caught, search: none }, settings, reader)).toMatch(/^No single setting/)
  })
})

describe('what would have called sooner', () => {
  it('is one sentence with its numbers', () => {
    expect(soonerText(caught, settings, reader)).toBe(
      'With the warning 45 min ahead instead of 30 min you would have been called 02:10, 18 min sooner and 30 min before the damage began; on your 12 other batches nothing more would have called.',
    )
  })
  it('says how many other batches could be looked at, and that nothing was found', () => {
    const short = { ...search, checked: 5, cut: true }
    expect(soonerText({ ...caught, search: short }, settings, reader)).toMatch(
      /on your 5 other batches that could be looked at in the time nothing more/,
    )
    expect(soonerText({ ...caught, search: { ...search, found: null } }, settings, reader)).toMatch(
      /No single setting would have called sooner without calling falsely: 8 were tried/,
    )
    expect(
      soonerText({ ...caught, search: { ...search, found: null, now: null } }, settings, reader),
    ).toMatch(/Nothing that is watched would have called/)
  })
  it('says it where the settings of then were others', () => {
    expect(todayText(caught, reader)).toBe('')
    const now = { rule: 'water-too-hot', calledAt: at('02:20') } as const
    expect(todayText({ ...caught, search: { ...search, now } }, reader)).toBe(
      'With the settings of today Too hot would call 02:20.',
    )
  })
})
