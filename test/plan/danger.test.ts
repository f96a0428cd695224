import { beforeAll, describe, expect, it } from 'vitest'
import { unseenLot } from '../../broker/hatch/lot/lot.ts'
import { outlookOf } from '../../broker/plan/outlook.ts'
import { planFeeding } from '../../broker/plan/plan.ts'
import { openSolver, type Solver } from '../../broker/plan/solver.ts'
import type { PlanInput, RunningBatch } from '../../broker/plan/contract.ts'
import { band, cohort, HOUR, MONDAY, room } from './rooms.ts'

let solve: Solver
beforeAll(async () => {
  solve = await openSolver()
})
const vessel = (id: string) => ({
  ...{ id, name: id, litres: 1, freeFromMs: MONDAY, turnroundMin: 30, maxGpl: 5 },
})
const running = (over: Partial<RunningBatch> = {}): RunningBatch => ({
  ...{ id: 'b', vesselId: 'left', ready: band(MONDAY + 10 * HOUR, HOUR), ageH: 3, ageing: 1, nauplii: 1e6 },
  danger: { alarmId: 'a' },
  ...over,
})
/** 100 fry are fed 7,500 at 18:00 and, for a day and a half, at 08:00 and 18:00 again; 11,000 are a tenth more of 10,000. */
const inDanger = (over: Partial<PlanInput> = {}) =>
  planFeeding(
    room({
      cohorts: [cohort()],
      vessels: [vessel('left'), vessel('right')],
      running: [running()],
      untilMs: MONDAY + 37 * HOUR,
      cold: { keepsH: 48, survival: 1 },
      ...over,
    }),
    solve,
  ).risks.filter(({ kind }) => kind === 'in-danger')

describe('a batch on whose vessel an alarm stands', () => {
  it('puts at risk what it is to feed, and names a spare that is ready for what comes late enough', () => {
    const [risk] = inDanger()
    // 18:00 today, 08:00 and 18:00 tomorrow; a spare of now is ready at 04:00 and takes 0.1 g for the last two.
    expect(risk).toMatchObject({ sourceId: 'b', lacking: 0 })
    expect(risk!.feedingIds.map(id => id.slice(-16))).toEqual([
      '2026-03-02T18:00',
      '2026-03-03T08:00',
      '2026-03-03T18:00',
    ])
    expect(risk!.remedy).toEqual({
      kind: 'start-spare',
      vesselId: 'right',
      lotId: 'a',
      grams: 0.1,
      readyMs: MONDAY + 22 * HOUR,
      feedingsMet: 2,
    })
  })

  it('is harvested at once where it is ready', () => {
    const [risk] = inDanger({ running: [running({ ready: band(MONDAY - HOUR, HOUR) })] })
    expect(risk!.remedy).toEqual({ kind: 'harvest-now', vesselId: 'left' })
  })

  it('has no spare where no other vessel is free, and is at no risk where nothing stands or nothing hangs on it', () => {
    expect(inDanger({ vessels: [vessel('left')] })[0]!.remedy).toEqual({ kind: 'none' })
    const busy = running({ id: 'c', vesselId: 'right', nauplii: 0, danger: null })
    expect(inDanger({ running: [running(), busy] })[0]!.remedy).toEqual({ kind: 'none' })
    expect(inDanger({ running: [running({ danger: null })] })).toEqual([])
    expect(inDanger({ running: [running({ nauplii: 0 })] })).toEqual([])
  })
})

describe('a vessel that stands empty and takes no spare', () => {
  it('is needed for a start before a spare of now would be out of it', () => {
    const plan = planFeeding(
      room({
        ...{ cohorts: [cohort()], vessels: [vessel('left'), vessel('right')], untilMs: MONDAY + 37 * HOUR },
        // Enough for 18:00 alone: the next ones wait for a start of this evening.
        running: [running({ nauplii: 8250 })],
      }),
      solve,
    )
    const start = plan.starts.find(({ vesselId }) => vesselId === 'right')
    expect(start!.startMs).toBeGreaterThan(MONDAY)
    expect(plan.risks.find(({ kind }) => kind === 'in-danger')!.remedy).toEqual({
      ...{ kind: 'vessel-needed', vesselId: 'right', startMs: start!.startMs },
    })
  })

  it('stands empty for want of cysts where none is left', () => {
    expect(inDanger({ lots: [{ id: 'a', name: 'a', gramsLeft: 0 }] })[0]!.remedy).toEqual({
      kind: 'no-cysts',
    })
  })
})

describe('what a batch is worth', () => {
  const usual = outlookOf(unseenLot, 'balanced', 27)!
  it('falls from its best moment on, by the window’s 5 % first and by a quarter or more within hours', () => {
    const { food, energy } = usual.afterBest!
    expect(food[0]).toBe(1)
    for (const [h, share] of food.entries()) expect(share).toBeLessThanOrEqual(food[Math.max(0, h - 1)]!)
    // The moult costs 27 % of the energy, and a day a quarter to a third of it (Vanhaecke, Lavens & Sorgeloos 1983).
    expect(energy[24]).toBeGreaterThan(0.63)
    expect(energy[24]).toBeLessThan(0.78)
  })

  it('is told of a harvest that comes hours after its best, and of each serving', () => {
    const batch = {
      ...running({ ready: band(MONDAY - 5 * HOUR, HOUR), danger: null }),
      ...{ ageH: usual.ageH, ageing: usual.ageing, afterBest: usual.afterBest! },
    }
    const plan = planFeeding(
      room({
        running: [batch],
        untilMs: MONDAY + 3 * HOUR,
        held: [
          { id: 'h', name: '', nauplii: 3000, ageH: 5, heldSinceMs: MONDAY - 10 * HOUR, energyAtTaking: 0.9 },
        ],
      }),
      solve,
    )
    const [harvest] = plan.harvests
    const hours = (harvest!.firstMs - batch.ready.p50) / HOUR
    expect(hours).toBeGreaterThanOrEqual(5)
    expect(harvest!.pastBest!.hours).toBe(hours)
    expect(harvest!.pastBest!.lost).toBeCloseTo(1 - batch.afterBest.food[hours]!, 6)
    for (const { source, energyLeft, coldH } of plan.meals.flatMap(({ servings }) => servings)) {
      expect(energyLeft).toBeLessThan(source === 'held' ? 0.9 : batch.afterBest.energy[0]!)
      expect(coldH).toBeGreaterThanOrEqual(0)
    }
    expect(new Set(plan.meals.flatMap(({ servings }) => servings.map(({ source }) => source)))).toEqual(
      new Set(['held', 'running']),
    )
  })

  it('is not told of one that comes in time', () => {
    const plan = planFeeding(
      room({
        running: [running({ ready: band(MONDAY + 2 * HOUR), danger: null, afterBest: usual.afterBest! })],
        untilMs: MONDAY + 3 * HOUR,
      }),
      solve,
    )
    expect(plan.harvests.map(({ pastBest }) => pastBest)).toEqual([undefined])
  })
})
