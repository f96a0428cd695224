import { describe, expect, it } from 'vitest'
import type { Happening } from '../../../dashboard/replay/happenings.ts'
import type { BatchEvent } from '../../../broker/web/api/events.ts'
import { killedFromMs } from '../../../dashboard/replay/killed.ts'
import type { JournalEntry } from '../../../broker/web/api/journal.ts'
import { foldedCalls } from '../../../dashboard/report/folded-calls.ts'
import { notedOf } from '../../../dashboard/report/noted.ts'
import { bandOf, hourMarks, wayOf, yIn } from '../../../dashboard/report/scale.ts'

const happening = (kind: Happening['kind'], atMs: number, words: string): Happening => ({
  kind,
  atMs,
  words,
  by: null,
  priority: null,
})

describe('what is marked on a report', () => {
  it('keeps causes and calls where there is no room for all, in the order of their times', () => {
    const all = [
      happening('batch', 0, 'Cysts into the water'),
      ...Array.from({ length: 8 }, (_, at) => happening('person', 10 + at, `Water ${at}`)),
      happening('alarm', 30, 'Too hot: alarm, it called'),
      happening('alarm', 31, 'Too hot: called again'),
      happening('alarm', 32, 'Too hot: acknowledged'),
      happening('alarm', 33, 'Too hot: acknowledged'),
      happening('cause', 40, 'Cause 1 begins: too hot'),
    ]
    const { noted, left } = notedOf(all, 5)
    expect(noted.map(({ number, words }) => [number, words])).toEqual([
      [1, 'Water 0'],
      [2, 'Water 1'],
      [3, 'Too hot: alarm, it called'],
      [4, 'Too hot: acknowledged'],
      [5, 'Cause 1 begins: too hot'],
    ])
    expect(left).toBe(all.length - 5)
    expect(notedOf([])).toEqual({ noted: [], left: 0 })
  })
})

describe('an alarm that called again and again', () => {
  const at = (minute: number) => new Date(minute * 60_000).toISOString()
  const step = (minute: number, calls: boolean) =>
    ({
      at: at(minute),
      calls,
      by: calls ? null : 'Ada',
      reason: calls ? 're-alarm' : 'acknowledged',
      state: calls ? 'unacknowledged' : 'acknowledged',
    }) as const
  const entry = (answers: number) =>
    ({
      alarm: { rule: 'water-heading-hot', priority: 'high' },
      steps: [10, 40, 70].flatMap((minute, nth) => [
        step(minute, true),
        ...(nth < answers ? [step(minute + 5, false)] : []),
      ]),
    }) as unknown as JournalEntry
  const clock = (atMs: number) => `${atMs / 60_000} min`
  it('is one sentence at its first call, and is told once', () => {
    const [folded] = foldedCalls([entry(3)], clock)
    expect(folded?.told.map(({ atMs, words }) => [clock(atMs), words])).toEqual([
      [
        '10 min',
        'Heating up: called 3 times from 10 min to 70 min, answered each time, the water stayed too hot',
      ],
    ])
    expect(foldedCalls([entry(1)], clock)[0]?.told[0]?.words).toMatch(/answered once, the water stayed too/)
    expect(foldedCalls([entry(0)], clock)[0]?.told[0]?.words).toMatch(/to 70 min, never answered$/)
  })
  it('says what it had become, and its lines then are told too', () => {
    const warned = entry(3)
    const came = { ...step(20, true), reason: 'above-limit' as const }
    const [folded] = foldedCalls(
      [{ ...warned, steps: [...warned.steps.slice(0, 1), came, ...warned.steps.slice(1)] }],
      clock,
    )
    expect(folded?.told.map(({ words }) => words)).toEqual([
      expect.stringMatching(/^Heating up: called 4 times from 10 min to 70 min, at last as too hot, /),
    ])
    const lines = [
      happening('alarm', 10 * 60_000, 'Heating up: alarm, it called'),
      happening('alarm', 20 * 60_000, 'Too hot: called again'),
      happening('alarm', 45 * 60_000, 'Too hot: acknowledged'),
      // Another one, which called by itself.
      happening('alarm', 50 * 60_000, 'Too hot: alarm, it called'),
    ]
    const { noted, left } = notedOf(lines, 14, [folded!])
    expect(noted.map(({ words }) => words)).toContain('Too hot: alarm, it called')
    expect([noted.length, left]).toEqual([2, 0])
  })
  it('leaves its lines out of what there was no room for', () => {
    const lines = [
      happening('batch', 0, 'Cysts into the water'),
      happening('alarm', 10 * 60_000, 'Heating up: alarm, it called'),
      happening('alarm', 40 * 60_000, 'Heating up: called again'),
      happening('alarm', 45 * 60_000, 'Heating up: acknowledged'),
      happening('alarm', 50 * 60_000, 'Too hot: alarm, it called'),
      happening('alarm', 70 * 60_000, 'Heating up: called again'),
    ]
    const { noted, left } = notedOf(lines, 14, foldedCalls([entry(3)], clock))
    expect(noted.map(({ words }) => words)).toEqual([
      expect.stringMatching(/^Heating up: called 3 times/),
      'Too hot: alarm, it called',
    ])
    expect(left).toBe(1)
  })
})

describe('a line on paper', () => {
  it('breaks where nothing was measured, and stays inside', () => {
    const x = (atMs: number) => atMs
    const y = (value: number) => value
    expect(wayOf([0, 1, 2, 9, 10], [1, 2, 3, 4, 5], x, y, 2)).toBe(
      'M0.0 1.0L1.0 2.0L2.0 3.0M9.0 4.0L10.0 5.0',
    )
    expect(wayOf([0, 1, 2], [1, null, 3], x, y)).toBe('M0.0 1.0M2.0 3.0')
    expect(bandOf([0, 1], [1, 2], [3, 4], x, y)).toBe('M0.0 3.0L1.0 4.0L1.0 2.0L0.0 1.0Z')
    expect(bandOf([0, 1], [1, null], [3, 4], x, y)).toBe('')
    const panel = { top: 10, high: 100, low: 20, most: 30 }
    expect([20, 25, 30, 99, -99].map(value => yIn(panel, value))).toEqual([110, 60, 10, 10, 110])
  })

  it('has at most a dozen and one hours under it, however long it is', () => {
    for (const hours of [0.5, 3, 12, 25, 36, 100, 240]) {
      const marks = hourMarks(hours * 3_600_000)
      expect(marks[0]).toBe(0)
      expect(marks.length).toBeLessThanOrEqual(13)
      expect(marks.at(-1)!).toBeLessThanOrEqual(hours)
      // A phone has room for fewer.
      expect(hourMarks(hours * 3_600_000, 5).length).toBeLessThanOrEqual(6)
    }
  })
})

describe('what the model says of a batch that died', () => {
  const from = '2026-03-02T10:00:00.000Z'
  const span = { from, to: '2026-03-02T14:00:00.000Z' }
  const cause = (kind: string) =>
    ({ causes: [{ kind, evidence: [{ spans: [span] }] }] }) as unknown as Parameters<typeof killedFromMs>[1]
  const counted = (nauplii: number) =>
    [
      { kind: 'count', harvest: true, withdrawnAt: null, samples: [{ nauplii, embryos: 300 }] },
    ] as unknown as BatchEvent[]

  it('ends where the heat began, if none was counted alive', () => {
    expect(killedFromMs(counted(0), cause('too-hot'))).toBe(Date.parse(from))
  })
  it('goes on where some lived, and where nobody counted', () => {
    expect(killedFromMs(counted(90), cause('too-hot'))).toBe(Infinity)
    expect(killedFromMs([], cause('too-hot'))).toBe(Infinity)
  })
  it('is not said of any time while it is not known what killed them', () => {
    expect(killedFromMs(counted(0), null)).toBe(-Infinity)
    expect(killedFromMs(counted(0), cause('weak-lot'))).toBe(-Infinity)
    // That they swam once is known: it was reckoned so, and only what ended it is not.
    const seen = [{ kind: 'first-swimmers', withdrawnAt: null }] as unknown as BatchEvent[]
    expect(killedFromMs([...seen, ...counted(0)], cause('weak-lot'))).toBe(Infinity)
    expect(killedFromMs(counted(90), null)).toBe(Infinity)
  })
})
