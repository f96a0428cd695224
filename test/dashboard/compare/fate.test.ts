import { describe, expect, it } from 'vitest'
import type { Diagnosis } from '../../../broker/web/api/diagnosis.ts'
import { fateOf } from '../../../dashboard/compare/fate.ts'

const made = (change: object) =>
  ({ verdict: 'explained', causes: [], risky: [], ...change }) as unknown as Diagnosis
const batch = { note: null }

describe('how a batch went, in a glance', () => {
  it('is a word and a short cause', () => {
    const two = made({ causes: [{ kind: 'air-lost' }, { kind: 'too-hot' }] })
    expect(fateOf(batch, two)).toMatchObject({ fate: 'wrong' })
    expect(fateOf(batch, two).words).toMatch(/^Went wrong: \p{Ll}.*, and \p{Ll}/u)
    expect(fateOf({ note: 'mouldy; given up' }, two).words).toMatch(/^Given up: /)
    expect(fateOf(batch, made({ verdict: 'nothing' }))).toEqual({ fate: 'well', words: 'Went well' })
    expect(fateOf(batch, made({ verdict: 'unexplained' })).fate).toBe('wrong')
    expect(fateOf(batch, made({ verdict: 'not-counted' })).fate).toBe('untold')
  })
  it('says nothing that is not known yet', () => {
    expect(fateOf(batch, undefined).fate).toBe('unknown')
    expect(fateOf(batch, null)).toEqual({ fate: 'unknown', words: 'How it went is not known' })
    expect(fateOf({ note: 'given up' }, undefined)).toEqual({ fate: 'wrong', words: 'Given up' })
  })
})
