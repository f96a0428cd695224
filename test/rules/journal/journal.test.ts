import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { AlarmState, PLAIN, Priority, Reason, RuleName, type Alarm } from '../../../broker/rules/alarm.ts'
import { answeringOf } from '../../../broker/rules/journal/answering.ts'
import { chatteringOf } from '../../../broker/rules/journal/chattering.ts'
import type { JournalStep } from '../../../broker/rules/journal/contract.ts'
import { journalFigures } from '../../../broker/rules/journal/figures.ts'
import { stepsFromRecord } from '../../../broker/rules/journal/steps.ts'

const START_MS = Date.UTC(2026, 0, 10)
const MINUTE_MS = 60_000
const HOUR_MS = 60 * MINUTE_MS
const DAY_MS = 24 * HOUR_MS

function step(atMs: number, more: Partial<JournalStep> = {}): JournalStep {
  return {
    atMs: START_MS + atMs,
    alarmId: 'a1',
    vesselId: 'v1',
    rule: RuleName.airLost,
    state: AlarmState.unacknowledged,
    priority: Priority.high,
    reason: Reason.belowLimit,
    calls: more.state === undefined || more.state === AlarmState.unacknowledged,
    by: null,
    ...more,
  }
}
let alarms = 0
/** Another alarm each time. */
const came = (atMs: number, more: Partial<JournalStep> = {}) =>
  step(atMs, { alarmId: `b${alarms++}`, ...more })
const over = (atMs: number, more: Partial<JournalStep> = {}) =>
  step(atMs, { state: AlarmState.returnedUnacknowledged, reason: Reason.backWithinLimit, ...more })

function alarm(id: string, more: Partial<Alarm> = {}): Alarm {
  return {
    ...PLAIN,
    id,
    vesselId: 'v1',
    rule: RuleName.airLost,
    state: AlarmState.unacknowledged,
    priority: Priority.high,
    raisedAtMs: START_MS,
    announcedAtMs: START_MS,
    clearedAtMs: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    reason: Reason.belowLimit,
    action: '',
    text: '',
    value: null,
    limit: null,
    ...more,
  }
}

const figures = (steps: readonly JournalStep[], alarms: readonly Alarm[] = [], days = 7) =>
  journalFigures({
    fromMs: START_MS,
    toMs: START_MS + days * DAY_MS,
    nowMs: START_MS + days * DAY_MS,
    alarms,
    steps,
  })

describe('the load', () => {
  // EEMUA Publication 191: one alarm in ten minutes on average is what a person bears, which is 144 a day.
  it('is good up to one call in ten minutes on average, and over that too much', () => {
    const every = (minutes: number) =>
      Array.from({ length: (2 * DAY_MS) / (minutes * MINUTE_MS) }, (_, n) => came(n * minutes * MINUTE_MS))
    expect(figures(every(10), [], 2).perDay).toEqual({ value: 144, mark: 144, verdict: 'good' })
    expect(figures(every(9), [], 2).perDay).toEqual({ value: 160, mark: 144, verdict: 'over' })
  })

  it('of less than a day is not blown up to a whole one', () => {
    expect(figures([came(0), came(1)], [], 0.1).perDay).toMatchObject({ value: 2, verdict: 'unknown' })
    expect(figures([], [], 1).perDay.verdict).toBe('good')
    // Too much already is told at once.
    const often = Array.from({ length: 150 }, (_, n) => came(n * MINUTE_MS))
    expect(figures(often, [], 0.9).perDay.verdict).toBe('over')
  })

  // EEMUA Publication 191: ten alarms in ten minutes are a flood.
  it('is a flood from ten calls within any ten minutes on', () => {
    const burst = (count: number) => [
      came(HOUR_MS),
      ...Array.from({ length: count }, (_, n) => came(5 * HOUR_MS + n * 66_000)),
    ]
    expect(figures(burst(9)).busiestTenMinutes).toEqual({
      value: 9,
      mark: 9,
      verdict: 'good',
      fromMs: START_MS + 5 * HOUR_MS,
    })
    expect(figures(burst(10)).busiestTenMinutes).toMatchObject({ value: 10, verdict: 'over' })
    // Ten minutes to the millisecond are the next ten.
    expect(figures([came(0), came(10 * MINUTE_MS)]).busiestTenMinutes.value).toBe(1)
  })

  it('counts the busiest ten minutes as whoever tries every window does', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 2 * HOUR_MS }), { maxLength: 60 }), times => {
        const sorted = [...times].sort((a, b) => a - b)
        const most = Math.max(
          0,
          ...sorted.map(at => sorted.filter(t => t >= at && t < at + 10 * MINUTE_MS).length),
        )
        expect(figures(sorted.map(at => came(at))).busiestTenMinutes.value).toBe(most)
      }),
    )
  })

  it('counts alarms: once each however often they are told, and once more when they come anew', () => {
    const steps = [
      step(0, { calls: false, state: AlarmState.suppressed }),
      step(1),
      step(2, { state: AlarmState.acknowledged, calls: false }),
      step(3, { reason: Reason.announcedAgain }),
      step(4, { priority: Priority.critical }),
      over(5),
      step(6),
      step(7, { state: AlarmState.shelved, calls: false }),
      step(8, { reason: Reason.unshelved }),
    ]
    expect(figures(steps)).toMatchObject({ alarms: 2, calls: 5, mostFrequent: [{ alarms: 2 }] })
    // What came before the span is only told again in it, until it comes anew.
    const earlier = [alarm('a1', { raisedAtMs: START_MS - HOUR_MS })]
    expect(figures(steps.slice(3), earlier)).toMatchObject({ alarms: 1, calls: 4 })
  })
})

describe('priorities', () => {
  // EEMUA Publication 191: about 5 % critical, 15 % high, 80 % low.
  const calls = (critical: number, high: number, low: number) => [
    ...Array.from({ length: critical }, () => came(0, { priority: Priority.critical })),
    ...Array.from({ length: high }, () => came(0)),
    ...Array.from({ length: low }, () => came(0, { priority: Priority.low })),
  ]
  it('are as they should be at the published shares, and when the urgent ones are fewer', () => {
    for (const steps of [calls(5, 15, 80), calls(0, 0, 20)]) {
      const { critical, high, low } = figures(steps).priorities
      expect([critical.verdict, high.verdict, low.verdict]).toEqual(['good', 'good', 'good'])
    }
    expect(figures(calls(5, 15, 80)).priorities.critical).toMatchObject({
      alarms: 5,
      value: 0.05,
      mark: 0.05,
    })
  })
  it('are not when half of all calls are critical', () => {
    expect(figures(calls(50, 20, 30)).priorities).toMatchObject({
      critical: { verdict: 'over' },
      high: { verdict: 'good' },
      low: { verdict: 'over' },
    })
  })
  it('say nothing of a handful of calls', () => {
    expect(figures(calls(5, 5, 5)).priorities.critical.verdict).toBe('unknown')
    expect(figures([]).priorities.critical).toMatchObject({ value: null, verdict: 'unknown' })
  })
})

describe('standing and stale alarms', () => {
  it('name the one that has stood longest, and what has stood for a day but for what is out of service', () => {
    const at = START_MS + 7 * DAY_MS
    const alarms = [
      alarm('young', { raisedAtMs: at - HOUR_MS }),
      alarm('old', { raisedAtMs: at - DAY_MS }),
      alarm('out', { raisedAtMs: at - 3 * DAY_MS, state: AlarmState.outOfService }),
      alarm('over', { raisedAtMs: at - 2 * DAY_MS, state: AlarmState.normal, clearedAtMs: at - DAY_MS }),
    ]
    const { standing, longestStanding, stale } = figures([], alarms)
    expect(standing).toBe(3)
    expect(longestStanding).toEqual({ alarmId: 'out', sinceMs: at - 3 * DAY_MS })
    expect(stale).toEqual({ value: 1, mark: 0, verdict: 'over', alarmIds: ['old'] })
  })
})

describe('chattering', () => {
  // ANSI/ISA-18.2: an alarm that comes and goes three times or more within a minute.
  const wobble = (times: number, everyMs: number) =>
    Array.from({ length: times }, (_, n) => [step(n * everyMs), over(n * everyMs + everyMs / 2)]).flat()
  it('is what comes and goes three times within a minute, and no less', () => {
    expect(chatteringOf(wobble(3, 20_000))).toEqual([{ rule: 'air-lost', vesselId: 'v1', times: 3 }])
    expect(chatteringOf(wobble(2, 20_000))).toEqual([])
    expect(chatteringOf(wobble(3, 30_000))).toEqual([])
    expect(chatteringOf(wobble(9, 10_000))).toMatchObject([{ times: 6 }])
  })
  it('is told of each vessel by itself, also while nobody hears of it', () => {
    const silent = wobble(3, 15_000).map(each => ({
      ...each,
      vesselId: 'v2',
      state: each.calls ? AlarmState.suppressed : AlarmState.normal,
      calls: false,
    }))
    const mixed = [...wobble(2, 15_000), ...silent].sort((a, b) => a.atMs - b.atMs)
    expect(chatteringOf(mixed)).toEqual([{ rule: 'air-lost', vesselId: 'v2', times: 3 }])
    expect(figures(mixed).chattering.verdict).toBe('over')
  })
})

describe('answering', () => {
  const seen = (atMs: number, more: Partial<JournalStep> = {}) =>
    step(atMs, {
      state: AlarmState.acknowledged,
      reason: Reason.acknowledged,
      by: 'Ada',
      calls: false,
      ...more,
    })
  it('takes the mean and the median from each call to its acknowledgement', () => {
    const steps = [
      step(0, { alarmId: 'a' }),
      seen(MINUTE_MS, { alarmId: 'a' }),
      step(2 * MINUTE_MS, { alarmId: 'b' }),
      seen(4 * MINUTE_MS, { alarmId: 'b' }),
      step(5 * MINUTE_MS, { alarmId: 'c' }),
      seen(14 * MINUTE_MS, { alarmId: 'c' }),
    ]
    expect(answeringOf(steps, START_MS + HOUR_MS)).toEqual({
      count: 3,
      meanMs: 4 * MINUTE_MS,
      medianMs: 2 * MINUTE_MS,
      never: 0,
    })
  })
  it('counts from the first word of a call that was repeated, and anew after an acknowledgement', () => {
    const steps = [step(0), step(MINUTE_MS), seen(3 * MINUTE_MS), step(10 * MINUTE_MS), seen(11 * MINUTE_MS)]
    expect(answeringOf(steps, START_MS + HOUR_MS)).toMatchObject({ count: 2, meanMs: 2 * MINUTE_MS })
  })
  it('counts what was over and is seen afterwards, and what nobody ever saw', () => {
    const late = [
      step(0),
      over(MINUTE_MS),
      step(5 * MINUTE_MS, { state: AlarmState.normal, reason: Reason.acknowledged }),
    ]
    // Acknowledged after its end it goes to normal: the person has answered.
    expect(answeringOf(late, START_MS + HOUR_MS)).toMatchObject({ count: 1, meanMs: 5 * MINUTE_MS, never: 0 })
    const withdrawn = [step(0), step(MINUTE_MS, { state: AlarmState.normal, reason: Reason.batchEnded })]
    expect(answeringOf(withdrawn, START_MS + HOUR_MS)).toMatchObject({
      count: 0,
      meanMs: null,
      medianMs: null,
      never: 1,
    })
    expect(answeringOf([step(0)], START_MS + HOUR_MS).never).toBe(1)
    expect(answeringOf([step(0)], START_MS + HOUR_MS - 1).never).toBe(0)
  })
})

describe('what came most', () => {
  it('is told by rule and vessel, five at most, the most frequent first', () => {
    const steps = Array.from({ length: 7 }, (_, n) =>
      Array.from({ length: n + 1 }, () => came(0, { vesselId: `v${n}` })),
    ).flat()
    expect(figures(steps).mostFrequent.map(({ vesselId, alarms }) => [vesselId, alarms])).toEqual([
      ['v6', 7],
      ['v5', 6],
      ['v4', 5],
      ['v3', 4],
      ['v2', 3],
    ])
  })
})

it('of alarms whose steps were not written down, the record tells the last call, its answer and the end', () => {
  const steps = stepsFromRecord(
    alarm('a', {
      state: AlarmState.normal,
      announcedAtMs: START_MS + 5,
      acknowledgedAtMs: START_MS + 9,
      acknowledgedBy: 'Ada',
      clearedAtMs: START_MS + 7,
    }),
  )
  expect(steps.map(({ atMs, calls, by }) => [atMs - START_MS, calls, by])).toEqual([
    [5, true, null],
    [7, false, null],
    [9, false, 'Ada'],
  ])
  expect(stepsFromRecord(alarm('b', { announcedAtMs: null }))).toEqual([])
})
