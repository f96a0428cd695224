import { describe, expect, it } from 'vitest'
import type { BatchEvent } from '../../../broker/web/api/events.ts'
import { againstFirst, countedOut } from '../../../dashboard/words/against-first.ts'

const NOW_MS = Date.UTC(2026, 10, 25, 12)
const at = (hours: number) => new Date(NOW_MS + hours * 3_600_000).toISOString()
const base = { batchId: 'b', by: 'me', recordedAt: at(0), withdrawnAt: null }
const first: BatchEvent = { ...base, id: 'f', kind: 'first-swimmers', at: at(0) }
const count = (
  hours: number,
  sample: { nauplii: number; embryos?: number },
  change: { drawnOffMl?: number; withdrawnAt?: string } = {},
): BatchEvent => ({
  ...base,
  id: 'c',
  kind: 'count',
  at: at(hours),
  harvest: true,
  samples: [{ sampleMl: 1, ...sample }],
  estimate: null,
  ...change,
})
const batch = { litres: 1, cystsG: 2 }
const said = (...counts: BatchEvent[]) => againstFirst([first, ...counts], batch, first)

describe('a count beside the first swimmers that were noted', () => {
  it('says that so many cannot have come out since, and what to do', () => {
    expect(said(count(7 / 60, { nauplii: 72, embryos: 28 }))).toBe(
      'The count does not go with that: 72\u00a0% were out 7 min after the first were noted. They came earlier: correct the time.',
    )
    expect(said(count(-1, { nauplii: 60, embryos: 40 }))).toMatch(/60\u00a0% were out 1 h before the first/)
  })

  it('goes by what a gram holds at the most where nobody counted the unhatched', () => {
    // 300,000 nauplii of 2 g that hold 505,000 cysts.
    expect(said(count(0.5, { nauplii: 300 }))).toMatch(/59\u00a0% were out 30 min after/)
    expect(said(count(0.5, { nauplii: 300 }, { drawnOffMl: 200 })), 'few of a small volume').toBe('')
  })

  it('speaks before a tap for now, too', () => {
    const before = [count(-0.1, { nauplii: 70, embryos: 24 })]
    expect(countedOut(before, batch, NOW_MS)).toBe('By the count 74\u00a0% were out already.')
    expect(countedOut([count(-0.1, { nauplii: 25, embryos: 200 })], batch, NOW_MS)).toBe('')
  })

  it('says nothing where both can be true', () => {
    expect(said(count(5, { nauplii: 72, embryos: 28 })), 'five hours later').toBe('')
    expect(said(count(0.5, { nauplii: 25, embryos: 200 })), 'few are out').toBe('')
    expect(said(count(0.1, { nauplii: 7, embryos: 2 })), 'too few to tell').toBe('')
    expect(said(count(0.1, { nauplii: 72, embryos: 28 }, { withdrawnAt: at(1) }))).toBe('')
    expect(againstFirst([count(0, { nauplii: 72, embryos: 28 })], batch, null)).toBe('')
  })
})
