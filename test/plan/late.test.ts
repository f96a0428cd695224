import { beforeAll, describe, expect, it } from 'vitest'
import { feedingsOf } from '../../broker/plan/feedings.ts'
import { stillToFeed } from '../../broker/plan/late.ts'
import { planFeeding } from '../../broker/plan/plan.ts'
import { openSolver, type Solver } from '../../broker/plan/solver.ts'
import { cohort, HOUR, MONDAY, room } from './rooms.ts'

const zone = 'UTC'
const fry = cohort()
/** Its feedings of that day at 08:00 and 18:00; `atH` hours after midnight it is now. */
const passedBy = (atH: number) => {
  const midnightMs = MONDAY - 6 * HOUR
  const nowMs = midnightMs + atH * HOUR
  return { nowMs, passed: feedingsOf([fry], { fromMs: midnightMs, untilMs: nowMs, zone }) }
}
const still = (atH: number) => {
  const { nowMs, passed } = passedBy(atH)
  return stillToFeed(passed, [fry], { nowMs, zone }).map(({ id }) => id.slice(-5))
}

describe('a feeding that nobody ticked off', () => {
  it('can still be given up to half-way to the next one, and only the last of each group', () => {
    expect(still(7)).toEqual([])
    expect(still(8.5)).toEqual(['08:00'])
    // Half-way from 08:00 to 18:00 is 13:00, and from 18:00 to 08:00 it is 01:00.
    expect(still(12.9)).toEqual(['08:00'])
    expect(still(13)).toEqual([])
    expect(still(18.5)).toEqual(['18:00'])
  })

  it('without a next one can be given for half a day', () => {
    const ends = cohort({ endsMs: MONDAY + 3 * HOUR })
    const at = (nowMs: number) =>
      stillToFeed(feedingsOf([ends], { fromMs: MONDAY, untilMs: nowMs, zone }), [ends], { nowMs, zone })
    expect(at(MONDAY + 13 * HOUR)).toHaveLength(1)
    expect(at(MONDAY + 14 * HOUR)).toHaveLength(0)
  })
})

describe('a plan with a late feeding', () => {
  let solve: Solver
  beforeAll(async () => {
    solve = await openSolver()
  })
  const { nowMs, passed } = passedBy(9)
  const planned = (held: number, given: string[] = []) =>
    planFeeding(
      room({
        nowMs,
        late: stillToFeed(passed, [fry], { nowMs, zone }),
        given,
        spare: 0,
        held: [{ id: 'h', name: 'A', nauplii: held, ageH: 4, heldSinceMs: nowMs - HOUR }],
        cold: { keepsH: 48, survival: 0.9 },
      }),
      solve,
    )

  it('feeds it now from what is there', () => {
    const [first] = planned(20_000).meals
    expect(first).toMatchObject({ id: passed[0]!.id, atMs: nowMs, lacking: 0 })
    expect(first!.servings).toMatchObject([{ source: 'held', sourceId: 'h' }])
  })

  it('says what is at risk where nothing is there', () => {
    const { meals, risks } = planned(0)
    // 100 fry of 150 a day in two meals.
    expect(meals[0]).toMatchObject({ atMs: nowMs, lacking: 7500 })
    expect(
      risks.some(({ kind, feedingIds }) => kind === 'too-soon' && feedingIds.includes(passed[0]!.id)),
    ).toBe(true)
  })

  it('leaves out what was given, or written down as not given', () => {
    expect(planned(20_000, [passed[0]!.id]).meals.some(({ id }) => id === passed[0]!.id)).toBe(false)
  })
})
