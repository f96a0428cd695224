import { describe, expect, it } from 'vitest'
import type { TriedBatch, TryOut } from '../../../broker/web/api/try-outs.ts'
import {
  changeWords,
  leftMs,
  progressWords,
  refusedNumber,
  tryOutSentence,
} from '../../../dashboard/words/try-out.ts'
import { HOUR_MS, iso, NOW_MS } from '../room.ts'

const vienna = { locale: 'de-AT', timeZone: 'Europe/Vienna' }
type Change = TriedBatch['alarms'][number]

const occurrence = (atMs: number): NonNullable<Change['now']> => ({
  vesselId: 'v1',
  rule: 'water-too-hot',
  priority: 'critical',
  raisedAt: iso(atMs),
  calledAt: [iso(atMs)],
  clearedAt: null,
  state: 'unacknowledged',
  reason: 'above-limit',
  causedBy: null,
  value: 29.5,
})
const HOUR_AGO = NOW_MS - HOUR_MS
function change(kind: Change['change'], byMin = 0): Change {
  const now = kind === 'new' ? null : occurrence(HOUR_AGO)
  const then = kind === 'gone' ? null : occurrence(HOUR_AGO + byMin * 60_000)
  return { change: kind, rule: 'water-too-hot', now, then, byMin }
}
const tried = (alarms: Change[], untried: TriedBatch['untried'] = null): TriedBatch => ({
  batchId: 'b',
  vesselId: 'v1',
  startedAt: iso(NOW_MS - 24 * HOUR_MS),
  until: iso(NOW_MS),
  running: false,
  untried,
  alarms,
  silent: { now: 0, then: 0 },
})

it('each alarm says what becomes of it', () => {
  const words = (of: Change) => changeWords(of, NOW_MS, vienna)
  expect(words(change('earlier', -12))).toBe('Too hot 10:48, 12 min earlier')
  expect(words(change('later', 90))).toBe('Too hot 12:30, 1 h 30 min later')
  expect(words(change('new'))).toBe('Too hot 11:00, new')
  expect(words(change('gone'))).toBe('Too hot 11:00 would not come')
  expect(words(change('same'))).toBe('Too hot 11:00, as now')
})

describe('a try-out in a sentence', () => {
  const says = (...batches: TriedBatch[]) => tryOutSentence({ batches, state: 'done' })
  it('counts what comes earlier, later, new, and not at all', () => {
    expect(
      says(
        tried([change('earlier', -12), change('earlier', -3), change('same')]),
        tried([change('later', 5), change('new'), change('gone'), change('gone')]),
      ),
    ).toBe(
      'On these 2 batches: 2 alarms come earlier, by up to 12 min; one alarm comes later, by 5 min; one alarm is new; 2 alarms are gone; 1 comes as now.',
    )
  })
  it('refuses a number that no limit can have, and says which can', () => {
    expect(refusedNumber('limit', ' 28.5 ', 68, 104, '°F')).toBe(
      '28.5 cannot be tried: write a limit between 68 and 104 °F.',
    )
    expect(refusedNumber('delay', '', 0, 86_400, 'seconds')).toBe(
      'Nothing was written: write a delay between 0 and 86,400 seconds.',
    )
  })
  it('says when nothing changes, when nobody is called, and when nothing could be tried', () => {
    expect(says(tried([change('same')]))).toBe('On this batch nothing changes: the one alarm comes as now.')
    expect(says(tried([change('same'), change('same')]), tried([]))).toBe(
      'On these 2 batches nothing changes: all 2 alarms come as now.',
    )
    expect(says(tried([]), tried([], 'no-readings'))).toBe('On this batch nobody is called, now or then.')
    expect(says(tried([], 'too-long'))).toBe('No recorded batch could be tried.')
    expect(tryOutSentence({ batches: [tried([], 'not-yet')], state: 'running' })).toBe('')
  })
})

it('says how far it is', () => {
  const at = (change: Partial<TryOut>): string =>
    progressWords({
      id: 't',
      state: 'running',
      progress: 0.376,
      total: 5,
      batches: [tried([])],
      pending: [],
      names: {},
      error: null,
      ...change,
    })
  expect(at({})).toBe('1 of 5 batches, 37 %; the first time takes the longest')
  const left = (ms: number) =>
    progressWords(
      {
        id: 't',
        state: 'running',
        progress: 0.5,
        total: 5,
        batches: [],
        pending: [],
        names: {},
        error: null,
      },
      ms,
    )
  expect(left(41_000)).toBe('0 of 5 batches, 50 %; about 45 s left')
  expect(left(900)).toBe('0 of 5 batches, 50 %; nearly done')
  // A quarter took 10 s: three quarters take 30 s. Of the first moments nothing can be told.
  expect(leftMs(10_000, 0.25)).toBe(30_000)
  expect(leftMs(500, 0.25)).toBeNull()
  expect(leftMs(10_000, 0)).toBeNull()
  expect(at({ total: null })).toBe('Reading what was recorded…')
  expect(at({ state: 'done' })).toBe('')
  expect(at({ state: 'done', total: 0 })).toBe('There is no batch to try it on yet.')
  expect(at({ state: 'failed', error: 'Try fewer batches.' })).toBe('Try fewer batches.')
})
