import { describe, expect, it } from 'vitest'
import { sumTaken, takenFrom, together } from '../../../dashboard/plan/feed-parts.ts'
import { earlyStart } from '../../../dashboard/plan/early.ts'
import { earlyWords, stillToGive, stillWords } from '../../../dashboard/plan/ticking.ts'
import { toDos } from '../../../dashboard/plan/to-do.ts'
import { feedWords, namesOf } from '../../../dashboard/plan/words.ts'
import type { Plan } from '../../../broker/web/api/plan.ts'

const HOUR = 3_600_000
const NOW = Date.UTC(2026, 2, 5, 11, 30)
const zone = { locale: 'en-GB', timeZone: 'UTC' }
const iso = (h: number) => new Date(NOW + h * HOUR).toISOString()

describe('ticking a feeding off', () => {
  it('leaves what is still to give, but not what no count tells', () => {
    expect(stillToGive(18_750, 10_000)).toBe(8750)
    expect(stillToGive(18_750, 18_000)).toBe(0)
    expect(stillToGive(18_750, null)).toBe(0)
    // It was not given at all.
    expect(stillToGive(18_750, 0)).toBe(0)
    expect(stillWords(8750)).toBe('8,750 still to give: they stay in the plan.')
  })

  it('asks when it is hours early', () => {
    expect(earlyWords(NOW + 6.5 * HOUR, NOW, zone)).toBe(
      'This feeding is for 18:00, 7 h from now. Was it given already?',
    )
    expect(earlyWords(NOW + HOUR, NOW, zone)).toBe('')
    expect(earlyWords(NOW - HOUR, NOW, zone)).toBe('')
  })

  it('puts what came from one source together, and adds all of it up', () => {
    const all = [
      takenFrom('held a', 100),
      takenFrom('batch b', 50),
      takenFrom('held a', 20),
      takenFrom('other', 0),
    ]
    expect(together(all)).toEqual([
      { from: 'held', fromId: 'a', nauplii: 120 },
      { from: 'batch', fromId: 'b', nauplii: 50 },
    ])
    expect(sumTaken(all)).toBe(170)
    expect(sumTaken([...all, takenFrom('batch b', null)])).toBeNull()
    expect(together([takenFrom('held a', 0)])).toEqual([{ from: 'other', fromId: null, nauplii: 0 }])
  })

  it('names the rest of one that was given in part', () => {
    const meal = { id: 'm', cohortId: 'c', nauplii: 8750 }
    const given = { mealId: 'm', withdrawnAt: null } as Plan['fed'][number]
    const names = { cohort: () => 'Spawn 12' }
    expect(feedWords(meal, { fed: [given] }, names)).toBe('Feed Spawn 12: 8,750 nauplii still to give')
    expect(feedWords(meal, { fed: [{ ...given, withdrawnAt: iso(0) }] }, names)).toBe(
      'Feed Spawn 12: 8,750 nauplii',
    )
  })
})

describe('starting before its time', () => {
  it('says how early, from an hour on', () => {
    expect(earlyStart(NOW + HOUR, NOW)).toBe('')
    expect(earlyStart(NOW - HOUR, NOW)).toBe('')
    expect(earlyStart(NOW + 5 * HOUR, NOW)).toBe('5 hours')
    expect(earlyStart(NOW + 47 * HOUR, NOW)).toBe('2 days')
  })
})

describe('a vessel that nothing is expected of', () => {
  const harvest = {
    batchId: 'b',
    vesselId: 'v',
    at: iso(0.5),
    first: iso(0.5),
    nauplii: 0,
    used: 0,
    night: false,
    late: false,
  }
  const planOf = (danger: object | null, startH: number | null, nauplii = 0) =>
    ({
      starts:
        startH === null
          ? []
          : [
              {
                id: 's',
                vesselId: 'v',
                at: iso(startH),
                harvest: iso(startH + 24),
                cystsG: 1,
                nauplii: 9e4,
                lot: null,
                nightStart: false,
                nightHarvest: false,
              },
            ],
      harvests: [{ ...harvest, nauplii, act: danger ? 'see-to' : nauplii < 50 ? 'empty' : 'harvest' }],
      meals: [],
      risks: [],
      open: [],
      fed: [],
      cohorts: [],
      vessels: [{ id: 'v', name: 'Cone 5', litres: 1 }],
      running: [{ batchId: 'b', vesselId: 'v', startedAt: iso(-2), readyAt: iso(200), danger }],
    }) as unknown as Plan
  const first = (plan: Plan) => toDos(plan, namesOf(plan), { nowMs: NOW, zone })[0]!

  it('is seen to first while an alarm stands on it, and never poured away', () => {
    const { words, detail } = first(planOf({ alarmId: 'a', rule: 'water-heading-hot' }, 1))
    expect(words).toBe('See to Cone 5 first')
    expect(detail).not.toMatch(/empt|needed/i)
    expect(first(planOf({ alarmId: 'a', rule: 'air-lost' }, 1, 312_000))).toMatchObject({
      words: 'See to Cone 5 first',
      detail: 'Its alarm Air lost stands. About 310,000 nauplii hang on it; no feeding needs them',
    })
  })

  it('is needed only where a start in it follows within hours', () => {
    expect(first(planOf(null, 1))).toMatchObject({
      words: 'Empty Cone 5',
      detail: 'Nothing more is expected of it; the vessel is needed 12:30',
    })
    expect(first(planOf(null, 40)).detail).toBe('Nothing more is expected of it')
    expect(first(planOf(null, null)).detail).toBe('Nothing more is expected of it')
  })
})
