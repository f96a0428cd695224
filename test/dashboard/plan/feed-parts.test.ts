import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { ApiError } from '../../../dashboard/state/api.ts'
import {
  besideItsField,
  beyondWords,
  missingOf,
  missingWords,
  partsOf,
  partsWords,
  proposed,
  takenFrom,
  takenFromParts,
  toFeed,
} from '../../../dashboard/plan/feed-parts.ts'
import { sharedOut } from '../../../dashboard/plan/shared-out.ts'
import { givenFrom } from '../../../dashboard/plan/words.ts'

const source = (value: string, brief: string, most: number | null = null) => ({
  value,
  text: '',
  brief,
  most,
})
const SOURCES = [source('held h1', 'the refrigerator (Left cone)', 2900), source('batch b1', 'Right cone')]
const serving = (kind: 'held' | 'running' | 'planned', sourceId: string, nauplii: number) => ({
  ...{ source: kind, sourceId, nauplii, ageH: 4, coldH: 0, tight: false },
})
const servings = [serving('held', 'h1', 2900), serving('running', 'b1', 8100)]
const parts = partsOf({ servings }, SOURCES)

describe('a feeding of which too little is there', () => {
  const meal = { id: 'm', cohortId: 'c', at: '', nauplii: 9000 }
  const sources = [
    source('held h1', 'the refrigerator, of Left cone', 1600),
    source('batch b1', 'Right cone'),
  ]
  const short = { ...meal, servings: [serving('held', 'h1', 1600)] }

  it('is filled in with what is left, and with all of it from elsewhere', () => {
    expect(proposed(short, 'held h1', [], sources)).toBe(1600)
    expect(proposed(short, 'batch b1', [], sources)).toBe(9000)
    expect(proposed(short, 'other', [], sources)).toBe(9000)
    // The rest of what is there is for another feeding; and what the plan does not take has its own end.
    expect(proposed({ ...meal, servings: [serving('held', 'h1', 700)] }, 'held h1', [], sources)).toBe(700)
    expect(proposed(meal, 'held h1', [], sources)).toBe(1600)
    // The spare is not fed.
    expect(proposed({ ...meal, servings: [serving('running', 'b1', 9900)] }, 'batch b1', [], sources)).toBe(
      9000,
    )
    // Several are as they are together.
    expect(proposed({ ...meal, nauplii: 11_000, servings }, 'planned', parts, SOURCES)).toBe(11_000)
  })

  it('asks where the rest is from when more is typed', () => {
    expect(beyondWords([takenFrom('held h1', 9000)], sources)).toBe(
      'Only 1,600 are left in the refrigerator, of Left cone: where are the other 7,400 from? Add another source, or write fewer.',
    )
    expect(beyondWords([takenFrom('held h1', 1600), takenFrom('batch b1', 7400)], sources)).toBe('')
    expect(beyondWords([takenFrom('held h1', 1000), takenFrom('held h1', 1000)], sources)).toMatch(
      /other 400/,
    )
    expect(beyondWords([takenFrom('held h1', null), takenFrom('other', 9000)], sources)).toBe('')
  })
})

describe('a feeding from several sources', () => {
  it('is taken as it was planned, and says what comes from where', () => {
    expect(partsWords('11000', parts)).toBe(
      '2,900 from the refrigerator (Left cone) and 8,100 from Right cone.',
    )
    expect(takenFromParts(11_000, parts)).toEqual({
      parts: [
        { from: 'held', fromId: 'h1', nauplii: 2900 },
        { from: 'batch', fromId: 'b1', nauplii: 8100 },
      ],
    })
    expect(partsWords('', parts)).toMatch(/^Taken: all that is left in the refrigerator/)
    expect(takenFromParts(0, parts)).toEqual({ from: 'other', fromId: null, nauplii: 0 })
  })

  it('takes what one has too little for from the other', () => {
    expect(
      sharedOut(22_000, [
        { planned: 2900, most: 2900 },
        { planned: 8100, most: null },
      ]),
    ).toEqual([2900, 19_100])
  })

  it('adds up, and goes beyond what there is only where all of it is too little', () => {
    const each = fc.record({ planned: fc.nat(50_000), most: fc.option(fc.nat(50_000)) })
    fc.assert(
      fc.property(fc.nat(200_000), fc.array(each, { minLength: 1, maxLength: 6 }), (nauplii, sources) => {
        const shares = sharedOut(nauplii, sources)
        expect(shares.reduce((sum, share) => sum + share, 0)).toBe(nauplii)
        expect(Math.min(...shares)).toBeGreaterThanOrEqual(0)
        const there = sources.reduce((sum, { most }) => sum + (most ?? Infinity), 0)
        if (nauplii <= there)
          expect(shares.every((share, at) => share <= (sources[at]!.most ?? Infinity))).toBe(true)
      }),
    )
  })

  it('offers what is there, and says what is missing', () => {
    const names = { source: () => 'Far cone' }
    const meal = { servings: [...servings, serving('planned', 'p1', 500)] }
    expect(partsOf(meal, SOURCES)).toEqual(parts)
    expect(missingWords(missingOf(meal, SOURCES), names)).toBe(
      'Of what is planned is not there: 500 from Far cone, which is still to be started.',
    )
    expect(missingWords(missingOf({ servings: [serving('held', 'h9', 12.4)] }, SOURCES), names)).toMatch(
      /12 from Far cone, which is gone\./,
    )
    expect(missingWords(missingOf({ servings }, SOURCES), names)).toBe('')
  })

  it('is not offered where there is one alone', () => {
    expect(partsOf({ servings: servings.slice(0, 1) }, SOURCES)).toEqual([])
    expect(toFeed({ nauplii: 12_000 }, parts)).toBe(11_000)
    expect(toFeed({ nauplii: 12_000 }, [])).toBe(12_000)
  })

  it('that is refused names the source, beside the number', () => {
    const sent = [{ from: 'batch', fromId: 'b1', nauplii: 1 }]
    const error = new ApiError(422, 'no', new Map([['parts.0.nauplii', '10 are left']]))
    expect([...besideItsField(error, sent, parts).fields]).toEqual([['nauplii', 'Right cone: 10 are left']])
  })

  it('says so once it was given', () => {
    const names = {
      vessel: () => '',
      cohort: () => '',
      source: (kind: string) => (kind === 'held' ? 'the refrigerator' : 'Right cone'),
    }
    const held = { from: 'held', fromId: 'h1', nauplii: 2900 } as const
    const batch = { from: 'batch', fromId: 'b1', nauplii: 8100 } as const
    expect(givenFrom({ parts: [held, batch] }, names)).toBe(
      ': 2,900 from the refrigerator and 8,100 from Right cone',
    )
    expect(givenFrom({ parts: [held] }, names)).toBe(' from the refrigerator')
    expect(givenFrom({ parts: [{ from: 'other', fromId: null, nauplii: 5 }] }, names)).toBe('')
  })
})
