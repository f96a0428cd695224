import { describe, expect, it } from 'vitest'
import type { JournalEntry, JournalFigures } from '../../../broker/web/api/journal.ts'
import {
  calledByWords,
  figureWords,
  isOfWork,
  lifeLines,
  loadSentence,
  MARKS_SOURCE,
  timelineWords,
  uncountedWords,
} from '../../../dashboard/words/journal.ts'
import { alarm, HOUR_MS, iso, NOW_MS } from '../room.ts'

const vienna = { locale: 'de-AT', timeZone: 'Europe/Vienna' }
const MINUTE_MS = 60_000
const share = (value: number, mark: number, alarms: number) => ({
  value,
  mark,
  alarms,
  verdict: 'good' as const,
})
const FIGURES: JournalFigures = {
  alarms: 20,
  calls: 33,
  days: 7,
  perDay: { value: 20 / 7, mark: 144, verdict: 'good' },
  busiestTenMinutes: { value: 12, mark: 9, verdict: 'over', from: iso(NOW_MS - HOUR_MS) },
  standing: 1,
  longestStanding: { alarmId: 'a', since: iso(NOW_MS - 2 * HOUR_MS) },
  stale: { value: 0, mark: 0, verdict: 'good', alarmIds: [] },
  chattering: {
    value: 1,
    mark: 0,
    verdict: 'over',
    sources: [{ rule: 'air-lost', vesselId: 'v1', times: 4 }],
  },
  priorities: { critical: share(0.05, 0.05, 1), high: share(0.15, 0.15, 3), low: share(0.8, 0.8, 16) },
  mostFrequent: [
    { rule: 'air-lost', vesselId: 'v1', alarms: 12 },
    { rule: 'power-lost', vesselId: null, alarms: 1 },
  ],
  acknowledging: { count: 8, meanS: 400, medianS: 95, never: 2 },
}
const nameOf = (id: string | null) => (id === null ? 'the room' : 'Cone 1')

describe('figures', () => {
  const words = (change: Partial<JournalFigures> = {}) =>
    new Map(figureWords({ ...FIGURES, ...change }, nameOf, NOW_MS, vienna).map(each => [each.title, each]))

  it('stand beside what is published as good, with its source', () => {
    expect(words().get('Alarms a day')).toMatchObject({
      value: '2.9',
      more: '20 alarms in 7 days, told again 13 times.',
      verdict: 'good',
    })
    expect(words().get('Alarms a day')!.mark).toMatch(/144.* ¹$/)
    // The standards are named once, in small print.
    expect(MARKS_SOURCE).toMatch(/¹ From EEMUA 191.*² From ANSI\/ISA-18\.2/)
    expect(words().get('Most within ten minutes')).toMatchObject({
      value: '12',
      more: 'From 11:00.',
      verdict: 'over',
      mark: 'fewer than 10: nobody can take in more ¹',
    })
    expect(words().get('Come and go in a minute')).toMatchObject({
      value: '1',
      more: 'Air lost, Cone 1: 4 times in a minute.',
      verdict: 'over',
    })
    expect(words().get('Critical, high, low')).toMatchObject({
      value: '5, 15, 80 %',
      mark: 'about 5, 15, 80 %: what is loud is to be rare ¹',
      verdict: 'good',
    })
    expect(words().get('Stand now')).toMatchObject({ value: '1', more: 'The longest for 2 h.' })
    expect(words().get('Until somebody answered')).toMatchObject({
      value: '1 min 35 s',
      more: 'Half of 8 answers (20 calls, 13 told again) came sooner, half later; all of them together make 6 min 40 s a call. 2 calls were never answered.',
    })
    expect(words().get('Came most')).toMatchObject({
      value: 'Air lost, Cone 1',
      more: '12 times; Power lost, the room once.',
    })
  })

  it('have words for nothing at all', () => {
    const none = words({
      alarms: 0,
      calls: 0,
      perDay: { value: null, mark: 144, verdict: 'unknown' },
      mostFrequent: [],
      longestStanding: null,
      standing: 0,
      acknowledging: { count: 0, meanS: null, medianS: null, never: 0 },
    })
    expect(none.get('Alarms a day')).toMatchObject({ value: 'none yet', more: 'Nobody was called.' })
    expect(none.get('Came most')).toMatchObject({ value: 'nothing', more: '' })
    expect(none.get('Until somebody answered')).toMatchObject({ value: 'nobody yet', more: '' })
    expect(none.get('Critical, high, low')).toMatchObject({ value: 'none', more: '' })
  })

  it('sum up in a sentence', () => {
    expect(loadSentence(FIGURES)).toBe('20 alarms in 7 days.')
    expect(loadSentence({ ...FIGURES, alarms: 0 })).toBe('Nobody was called in 7 days.')
    expect(loadSentence({ ...FIGURES, alarms: 1, days: 0.25 })).toBe('One alarm in 6 h.')
    expect(loadSentence({ ...FIGURES, perDay: { value: 200, mark: 144, verdict: 'over' } })).toMatch(
      /too many/,
    )
  })
})

describe('the life of an alarm', () => {
  const at = (minutes: number) => iso(NOW_MS - HOUR_MS + minutes * MINUTE_MS)
  const step = (
    minutes: number,
    more: Partial<JournalEntry['steps'][number]>,
  ): JournalEntry['steps'][number] => ({
    at: at(minutes),
    state: 'unacknowledged',
    reason: 'below-limit',
    calls: false,
    by: null,
    ...more,
  })
  const lines = (steps: JournalEntry['steps'], told: JournalEntry['told'] = []) =>
    lifeLines({ alarm: alarm(), came: 1, because: null, steps, told }, NOW_MS, vienna).map(
      ({ at, words }) => `${at} ${words}`,
    )

  it('is told as what happened, when, by whom and after how long', () => {
    expect(
      lines(
        [
          step(0, { calls: true }),
          step(4, { state: 'acknowledged', reason: 'acknowledged', by: 'Ada' }),
          step(30, { calls: true, reason: 're-alarm' }),
          step(50, { state: 'return-to-normal-unacknowledged', reason: 'back-within-limit' }),
          step(55, { state: 'normal', reason: 'acknowledged', by: 'Ada' }),
        ],
        [
          { person: 'Ada', by: 'mail', state: 'delivered', at: at(1) },
          { person: 'Ben', by: 'phone', state: 'failed', at: at(2) },
          { person: 'Ben', by: 'phone', state: 'waiting', at: at(3) },
        ],
      ),
    ).toEqual([
      '11:00 came, and called',
      '11:01 told to Ada by mail',
      '11:02 could not be told to Ben by phone',
      '11:04 acknowledged by Ada after 4 min',
      '11:30 called again, for it still held',
      '11:50 over after 50 min; acknowledged 11:04, but not since it called again',
      '11:55 acknowledged by Ada after 25 min, when it was over',
    ])
  })

  it('says that nobody acknowledged it only where nobody ever did', () =>
    expect(
      lines([
        step(0, { calls: true }),
        step(50, { state: 'return-to-normal-unacknowledged', reason: 'back-within-limit' }),
      ]),
    ).toEqual(['11:00 came, and called', '11:50 over after 50 min; nobody had acknowledged it']))

  it('tells what was silent, and why', () => {
    expect(
      lines([
        step(0, { state: 'suppressed-by-design', reason: 'consequence' }),
        step(5, { calls: true, reason: 'cause-ended' }),
        step(6, { state: 'shelved', reason: 'shelved', by: 'Ada' }),
        step(7, { state: 'suppressed-by-design', reason: 'suppressed' }),
        step(8, { state: 'out-of-service', reason: 'out-of-service', by: 'Ada' }),
        step(9, { state: 'normal', reason: 'batch-ended' }),
      ]),
    ).toEqual([
      '11:00 silent: another alarm told of it',
      '11:05 came, and called',
      '11:06 put off by Ada',
      '11:07 silent for the work that went on',
      '11:08 taken out of service by Ada',
      '11:09 over with its batch',
    ])
    expect(lines([])).toHaveLength(1)
  })
})

describe('an alarm that made no call of its own', () => {
  const silent = (more: Partial<JournalEntry['alarm']>, because: JournalEntry['because']): JournalEntry => ({
    alarm: { ...alarm(), vesselId: 'v1', rule: 'water-too-hot', announcedAt: null, ...more },
    came: 0,
    because,
    steps: [
      {
        at: iso(NOW_MS + -60 * MINUTE_MS),
        state: 'suppressed-by-design',
        reason: 'consequence',
        calls: false,
        by: null,
      },
    ],
    told: [],
  })
  const because = (more: Partial<NonNullable<JournalEntry['because']>> = {}) => ({
    alarmId: 'w',
    rule: 'water-heading-hot' as const,
    vesselId: 'v1' as string | null,
    calledAt: iso(NOW_MS + -80 * MINUTE_MS) as string | null,
    ...more,
  })
  const words = (entry: JournalEntry) => lifeLines(entry, NOW_MS, vienna, nameOf)[0]!.words

  it('says whose call told of it, when, and that it went on', () => {
    const warned = silent({}, because())
    expect(words(warned)).toBe('called 10:40 already, as the warning “Heating up”: that call went on')
    expect(calledByWords(warned, nameOf)).toBe(', “Heating up” had called')
    const strip = silent({ rule: 'device-silent' }, because({ rule: 'power-lost', vesselId: null }))
    expect(words(strip)).toBe(
      'no call of its own: “Power lost” of the room had called 10:40, and that call went on',
    )
    expect(calledByWords(strip, nameOf)).toBe(', “Power lost”, the room, had called')
    expect(words(silent({}, because({ calledAt: iso(NOW_MS + -50 * MINUTE_MS) })))).toBe(
      'no call of its own: “Heating up” called 11:10, for this too',
    )
  })

  it('is set apart where it was silent for work alone', () => {
    const work = silent({ rule: 'air-lost' }, null)
    const steps = [{ ...work.steps[0]!, reason: 'suppressed' as const }]
    expect(isOfWork({ ...work, steps })).toBe(true)
    expect(isOfWork({ ...work, steps, because: because() })).toBe(false)
    expect(isOfWork(work)).toBe(false)
    expect(isOfWork({ ...work, steps, alarm: { ...work.alarm, announcedAt: iso(NOW_MS) } })).toBe(false)
  })

  it('says so where nobody was called at all', () => {
    expect(words(silent({}, because({ calledAt: null })))).toBe(
      'silent: it came of “Heating up”, which called nobody either',
    )
    expect(calledByWords(silent({}, because({ calledAt: null })), nameOf)).toBe(', nobody was called')
    expect(calledByWords(silent({}, null), nameOf)).toBe(', nobody was called')
  })
})

it('an alarm that comes back says who had acknowledged it', () => {
  const back = {
    alarm: {
      ...alarm(),
      raisedAt: iso(NOW_MS + -60 * MINUTE_MS),
      acknowledgedBefore: { at: iso(NOW_MS + -180 * MINUTE_MS), by: 'Ada' },
    },
    came: 1,
    because: null,
    steps: [
      {
        at: iso(NOW_MS + -60 * MINUTE_MS),
        state: 'unacknowledged',
        reason: 'below-limit',
        calls: true,
        by: null,
      },
    ] satisfies JournalEntry['steps'],
    told: [],
  }
  expect(lifeLines(back, NOW_MS, vienna)[0]!.words).toBe(
    'came back, and called: Ada had acknowledged it 09:00',
  )
})

it('the drawing is told in words to whoever cannot see it', () => {
  const mark = (vesselId: string | null, silent = false, came = silent ? 0 : 1) =>
    ({
      rule: 'air-lost',
      vesselId,
      alarmId: 'a',
      priority: 'high',
      from: iso(0),
      to: null,
      silent,
      came,
    }) as const
  const marks = [mark('v1'), mark('v1', false, 2), mark(null), mark('v1', true, 0), mark('v1', false, 0)]
  expect(timelineWords({ marks }, nameOf)).toBe('4 alarms: Cone 1 3, the room 1.')
  expect(uncountedWords({ marks })).toBe(
    'Listed too, and not counted: 1 without a call of its own, for another one had called or work went on; 1 that came earlier.',
  )
  expect(uncountedWords({ marks: [mark('v1')] })).toBe('')
  expect(timelineWords({ marks: [mark('v1', true)] }, nameOf)).toBe('No alarm called in this time.')
})
