import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { compare } from '../../broker/replay/compare.ts'
import type { Occurrence } from '../../broker/replay/contract.ts'

const START_MS = Date.UTC(2026, 0, 10)
const MINUTE_MS = 60_000

function hot(atMin: number, forMin = 20, more: Partial<Occurrence> = {}): Occurrence {
  const raisedAtMs = START_MS + atMin * MINUTE_MS
  return {
    vesselId: 'v1',
    rule: 'water-too-hot',
    priority: 'critical',
    raisedAtMs,
    calledAtMs: [raisedAtMs],
    clearedAtMs: raisedAtMs + forMin * MINUTE_MS,
    state: 'normal',
    reason: 'back-within-limit',
    causedBy: null,
    value: 29.5,
    ...more,
  }
}
const told = (now: readonly Occurrence[], then: readonly Occurrence[]) =>
  compare(now, then).map(({ change, byMs }) => [change, byMs / MINUTE_MS])

describe('two runs over the same readings', () => {
  it('have the same alarm earlier, later, or as it was', () => {
    expect(told([hot(100)], [hot(88)])).toEqual([['earlier', -12]])
    expect(told([hot(100)], [hot(107)])).toEqual([['later', 7]])
    expect(told([hot(100)], [hot(100)])).toEqual([['same', 0]])
  })

  it('have alarms that are new, and some that are gone', () => {
    expect(told([], [hot(100)])).toEqual([['new', 0]])
    expect(told([hot(100)], [])).toEqual([['gone', 0]])
    // An hour apart and not at the same time: two things.
    expect(told([hot(100, 20)], [hot(161, 20)])).toEqual([
      ['gone', 0],
      ['new', 0],
    ])
  })

  it('hold alarms for the same that held at the same time, however far apart their calls', () => {
    expect(told([hot(300, 10)], [hot(100, 400)])).toEqual([['earlier', -200]])
    expect(told([hot(300, 10)], [hot(100, 0, { clearedAtMs: null })])).toEqual([['earlier', -200]])
  })

  it('pair the nearest, and never another rule or vessel', () => {
    expect(told([hot(100), hot(130)], [hot(128)])).toEqual([
      ['gone', 0],
      ['earlier', -2],
    ])
    expect(told([hot(100)], [hot(100, 20, { rule: 'air-lost' }), hot(100, 20, { vesselId: 'v2' })])).toEqual([
      ['gone', 0],
      ['new', 0],
      ['new', 0],
    ])
  })

  it('do not count what calls nobody as an alarm', () => {
    const silent = hot(100, 20, { calledAtMs: [], causedBy: 'water-heading-hot' })
    expect(told([hot(100)], [silent])).toEqual([['gone', 0]])
    expect(told([silent], [silent])).toEqual([])
  })

  it('leave no alarm out and tell none twice, and of equal runs all is the same', () => {
    const some = fc.array(fc.tuple(fc.nat({ max: 600 }), fc.integer({ min: 1, max: 90 })), { maxLength: 12 })
    fc.assert(
      fc.property(some, some, (one, other) => {
        const now = one.map(([at, long]) => hot(at, long))
        const then = other.map(([at, long]) => hot(at, long))
        const found = compare(now, then)
        expect(found.flatMap(each => each.now ?? []).sort(byTime)).toEqual([...now].sort(byTime))
        expect(found.flatMap(each => each.then ?? []).sort(byTime)).toEqual([...then].sort(byTime))
        expect(compare(now, now).every(({ change }) => change === 'same')).toBe(true)
      }),
    )
  })
})

const byTime = (a: Occurrence, b: Occurrence) =>
  a.raisedAtMs - b.raisedAtMs || (a.clearedAtMs ?? 0) - (b.clearedAtMs ?? 0)
