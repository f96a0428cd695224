import { describe, expect, it } from 'vitest'
import type { Diagnosis } from '../../../broker/web/api/diagnosis.ts'
import { fateOf } from '../../../dashboard/compare/fate.ts'

const made = (change: object) =>
  ({ verdict: 'explained', causes: [], risky: [], ...change }) as unknown as Diagnosis
const batch = { note: null }
const band = (p50: number) => ({ p10: p50, p50, p90: p50 })
const cause = (kind: string, points = 20) => ({
  kind,
  cost: { hatchPoints: band(points), foodPoints: band(0), laterH: band(0) },
})

describe('how a batch went, in a glance', () => {
  it('is a word and a short cause', () => {
    const two = made({ causes: [cause('air-lost'), cause('too-hot')] })
    expect(fateOf(batch, two)).toMatchObject({ fate: 'wrong' })
    expect(fateOf(batch, two).words).toMatch(/^Went wrong: \p{Ll}.*, and \p{Ll}/u)
    expect(fateOf({ note: 'mouldy; given up' }, two).words).toMatch(/^Given up: /)
    expect(fateOf(batch, made({ verdict: 'nothing' }))).toEqual({ fate: 'well', words: 'Went well' })
    expect(fateOf(batch, made({ verdict: 'unexplained' })).fate).toBe('wrong')
    expect(fateOf(batch, made({ verdict: 'not-counted' })).fate).toBe('untold')
  })
  it('is not wrong for what cost neither hatch nor hours', () => {
    const gap = { verdict: 'causes', causes: [cause('readings-missing', 0)] }
    const counted = { low: 66, best: 70, high: 74 }
    expect(fateOf(batch, made({ ...gap, balance: { counted, unexplained: band(0) } }))).toEqual({
      fate: 'well',
      words: 'Went well, with a gap in its readings',
    })
    const uncounted = made({ ...gap, balance: { counted: null, unexplained: null } })
    expect(fateOf(batch, uncounted)).toEqual({
      fate: 'untold',
      words: 'Not counted; with a gap in its readings',
    })
    const short = made({ ...gap, balance: { counted, unexplained: band(-20) } })
    expect(fateOf(batch, short).fate).toBe('wrong')
    const both = made({ ...gap, causes: [...gap.causes, cause('weak-lot')], balance: { counted } })
    expect(fateOf(batch, both).words).toBe('Went wrong: weak lot')
  })
  it('says nothing that is not known yet', () => {
    expect(fateOf(batch, undefined).fate).toBe('unknown')
    expect(fateOf(batch, null)).toEqual({ fate: 'unknown', words: 'How it went is not known' })
    expect(fateOf({ note: 'given up' }, undefined)).toEqual({ fate: 'wrong', words: 'Given up' })
  })
})
