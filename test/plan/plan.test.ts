import { beforeAll, describe, expect, it } from 'vitest'
import type { PlanInput } from '../../broker/plan/contract.ts'
import { outlookOf } from '../../broker/plan/outlook.ts'
import { planFeeding } from '../../broker/plan/plan.ts'
import { openSolver, type Solver } from '../../broker/plan/solver.ts'
import { unseenLot } from '../../broker/hatch/lot/lot.ts'
import { band, cohort, HOUR, MONDAY, room } from './rooms.ts'

let solve: Solver
beforeAll(async () => {
  solve = await openSolver()
})

const tomorrow = cohort({ bornMs: MONDAY + 25 * HOUR, ration: [{ fromDay: 0, naupliiPerFry: 150 }] })

describe('a plan', () => {
  it('starts so that a batch is ready two hours before its first meal, as far as it is in doubt', () => {
    const plan = planFeeding(
      room({
        cohorts: [cohort({ ...tomorrow, times: ['18:00'] })],
        untilMs: MONDAY + 37 * HOUR,
        outlooks: [
          {
            vesselId: 'left',
            lotId: 'a',
            goal: 'balanced',
            readyH: band(22, 5),
            ageH: 3,
            ageing: 1,
            naupliiPerG: 180_000,
          },
        ],
      }),
      solve,
    )
    expect(plan.lacking).toBe(0)
    // 18:00 less 22 h less 2 h is 18:00 the day before; with 0.1 g for 16,500 nauplii.
    expect(plan.starts.map(({ startMs, grams }) => [(startMs - MONDAY) / HOUR, grams])).toEqual([[12, 0.1]])
    expect(plan.meals.map(({ servings }) => servings.map(({ tight }) => tight))).toEqual([[false]])
  })

  it('says that a feeding hangs on a batch that may be late, and until when to wait', () => {
    const plan = planFeeding(
      room({
        cohorts: [cohort({ times: ['08:00'] })],
        untilMs: MONDAY + 5 * HOUR,
        running: [
          {
            id: 'b',
            vesselId: 'left',
            ready: band(MONDAY + HOUR, 3 * HOUR),
            ageH: 3,
            ageing: 1,
            nauplii: 1e6,
          },
        ],
      }),
      solve,
    )
    expect(plan.lacking).toBe(0)
    expect(plan.risks).toEqual([
      {
        kind: 'batch-late',
        feedingIds: ['fry@2026-03-02T08:00'],
        lacking: 0,
        sourceId: 'b',
        // Its middle and two hours, as the doubt is larger.
        remedy: { kind: 'feed-later', atMs: MONDAY + 3 * HOUR, sourceId: 'b' },
      },
    ])
  })

  it('names as a remedy the harvest that the plan has, and no moment before it', () => {
    // At its best at 17:27, and far more than 18:00 needs; 08:00 comes too soon for it.
    const ready = band(MONDAY + 11.45 * HOUR, HOUR)
    const batch = { id: 'b', vesselId: 'left', ready, ageH: 3, ageing: 1, nauplii: 260_000 }
    const { harvests, risks } = planFeeding(room({ untilMs: MONDAY + 13 * HOUR, running: [batch] }), solve)
    expect(harvests.map(({ firstMs }) => firstMs)).toEqual([MONDAY + 11.5 * HOUR])
    expect(risks.find(({ kind }) => kind === 'too-soon')!.remedy).toEqual({
      ...{ kind: 'feed-later', atMs: MONDAY + 11.5 * HOUR, sourceId: 'b' },
    })
  })

  it('says how many more grams would do where the cysts run out', () => {
    const plan = planFeeding(
      room({
        cohorts: [tomorrow],
        lots: [{ id: 'a', name: 'A', gramsLeft: 0.2 }],
        cold: { keepsH: 48, survival: 1 },
      }),
      solve,
    )
    // 100 fry x 75 nauplii and a tenth to spare are 8,250 a meal: 0.2 g give 36,000, and each gram 180,000.
    const lacking = plan.meals.length * 8250 - 36_000
    expect(plan.grams).toBe(0.2)
    expect(plan.lacking).toBeCloseTo(lacking, -2)
    const short = plan.risks.filter(({ kind }) => kind === 'short-of-cysts')
    expect(short.length).toBeGreaterThan(0)
    expect(short[0]!.remedy).toEqual({ kind: 'more-cysts', lotId: 'a', grams: 0.1 })
  })

  it('names food that is there and only a little too old', () => {
    const plan = planFeeding(
      room({
        cohorts: [cohort({ times: ['08:00'], food: { kind: 'instar-1' } })],
        untilMs: MONDAY + 5 * HOUR,
        cold: null,
        running: [
          { id: 'old', vesselId: 'left', ready: band(MONDAY - 5 * HOUR), ageH: 3, ageing: 1, nauplii: 1e6 },
        ],
      }),
      solve,
    )
    expect(plan.risks).toHaveLength(1)
    expect(plan.risks[0]).toMatchObject({
      kind: 'too-soon',
      remedy: { kind: 'older-food', source: 'running', sourceId: 'old', ageH: 10 },
    })
  })

  it('starts at night only where nothing else feeds them', () => {
    const early = cohort({
      ...tomorrow,
      bornMs: MONDAY + 30 * HOUR,
      times: ['07:00'],
      food: { kind: 'instar-1' },
    })
    const asleep = { wake: { from: '06:00', until: '22:00' }, cold: null, untilMs: MONDAY + 50 * HOUR }
    const outlooks = (readyH: number) => [
      {
        vesselId: 'left',
        lotId: 'a',
        goal: 'balanced' as const,
        readyH: band(readyH),
        ageH: 3,
        ageing: 1,
        naupliiPerG: 180_000,
      },
    ]
    // Ready after 28 h, a start at 03:00 would give the youngest; one at 22:00 gives nauplii of 8 h, which still do.
    const day = planFeeding(room({ ...asleep, cohorts: [early], outlooks: outlooks(28) }), solve)
    expect([day.lacking, day.nightStarts]).toEqual([0, 0])
    // Ready after 26 h, one at 22:00 would be 10 h old by then.
    const night = planFeeding(room({ ...asleep, cohorts: [early], outlooks: outlooks(26) }), solve)
    expect(night.lacking).toBe(0)
    expect([night.nightStarts, night.starts.length]).toEqual([1, 1])
  })

  it('is empty where there is nobody to feed, and does not fail where there is nothing to hatch in', () => {
    expect(planFeeding(room({ cohorts: [] }), solve)).toMatchObject({ starts: [], meals: [], lacking: 0 })
    const bare = planFeeding(room({ vessels: [], outlooks: [] }), solve)
    expect(bare.lacking).toBeGreaterThan(0)
    expect(new Set(bare.risks.map(({ kind }) => kind))).toEqual(new Set(['no-outlook']))
  })
})

describe('what a batch will do', () => {
  it('follows from lot and water', () => {
    const warm = outlookOf(unseenLot, 'balanced', 27)!
    const cool = outlookOf(unseenLot, 'balanced', 23)!
    // Common practice, no source: 24 h when warm, about 36 h when cooler.
    expect(warm.readyH.p50).toBeGreaterThan(20)
    expect(warm.readyH.p50).toBeLessThan(26)
    expect(cool.readyH.p50 / warm.readyH.p50).toBeCloseTo(16 / 12, 1)
    expect(warm.ageing).toBe(1)
    expect(cool.ageing).toBeCloseTo(12 / 16, 9)
    const small = outlookOf(unseenLot, 'smallest', 27)!
    expect(small.readyH.p50).toBeLessThan(warm.readyH.p50)
    expect(small.ageH).toBeLessThan(warm.ageH)
    expect(small.naupliiPerG).toBeLessThan(warm.naupliiPerG)
  })
  it('is nothing in water that hatches nothing', () => {
    for (const waterC of [NaN, 5, 40]) expect(outlookOf(unseenLot, 'balanced', waterC)).toBeNull()
  })
})

describe('a batch that stands in its vessel', () => {
  const batch = (readyH: number, untilH: number) => ({
    id: 'open',
    vesselId: 'left',
    ready: band(MONDAY + readyH * HOUR),
    untilMs: MONDAY + untilH * HOUR,
    ageH: 3,
    ageing: 1,
    nauplii: 200_000,
  })
  const harvestOf = async (readyH: number, untilH: number, over: Partial<PlanInput> = {}) =>
    planFeeding(room({ running: [batch(readyH, untilH)], ...over }), await openSolver()).harvests[0]!

  it('is harvested within the window that the room calls for, before the meal that it is for', async () => {
    // Ready at 10:00, its window closes at 14:00, and the next meal is at 18:00.
    const { harvestMs, firstMs, late } = await harvestOf(4, 8)
    expect(firstMs).toBe(harvestMs)
    expect(harvestMs).toBeGreaterThanOrEqual(MONDAY + 4 * HOUR)
    expect(harvestMs).toBeLessThanOrEqual(MONDAY + 8 * HOUR)
    expect(late).toBe(false)
  })

  it('is harvested first thing in the morning where all of its window falls into the night, and that is said', async () => {
    // From 23:00 to 03:00; up again at 06:00.
    expect(await harvestOf(17, 21)).toMatchObject({ harvestMs: MONDAY + 24 * HOUR, late: true, night: false })
  })

  it('is seen to at once where its window is over', async () => {
    expect(await harvestOf(-9, -2)).toMatchObject({ harvestMs: MONDAY, late: true })
  })

  it('is drawn from within its window also where nothing is held cold', async () => {
    const found = await harvestOf(10, 13, { cold: null })
    expect(found.firstMs).toBe(MONDAY + 12 * HOUR)
    expect(found.harvestMs).toBeGreaterThanOrEqual(found.firstMs)
  })
})

describe('what was given already', () => {
  it('is not planned again', async () => {
    const solve = await openSolver()
    const all = planFeeding(room(), solve)
    const [, second] = all.meals
    const rest = planFeeding(room({ given: [second!.id] }), solve)
    expect(rest.meals.map(({ id }) => id)).toEqual(
      all.meals.map(({ id }) => id).filter(id => id !== second!.id),
    )
    expect(rest.grams).toBeLessThanOrEqual(all.grams)
  })
})
