import { describe, expect, it } from 'vitest'
import type { PlanInput, RunningBatch } from '../../broker/plan/contract.ts'
import { planFeeding } from '../../broker/plan/plan.ts'
import { openSolver } from '../../broker/plan/solver.ts'
import { band, HOUR, MONDAY, room } from './rooms.ts'

const vessel = (id: string) => ({ id, name: id, litres: 1, freeFromMs: MONDAY, turnroundMin: 30, maxGpl: 5 })
const batch = (id: string, readyH: number, over: Partial<RunningBatch> = {}): RunningBatch => ({
  id,
  vesselId: id,
  ready: band(MONDAY + readyH * HOUR),
  fromMs: MONDAY + (readyH - 6) * HOUR,
  untilMs: MONDAY + (readyH + 5) * HOUR,
  ageH: 5,
  ageing: 1,
  nauplii: 500_000,
  ...over,
})
const plan = async (running: readonly RunningBatch[], over: Partial<PlanInput> = {}) => {
  const vessels = running.map(({ vesselId }) => vessel(vesselId))
  return planFeeding(
    room({
      vessels,
      running,
      outlooks: [],
      untilMs: MONDAY + 61 * HOUR,
      cold: { keepsH: 48, survival: 0.9 },
      ...over,
    }),
    await openSolver(),
  )
}
const harvestsOf = ({ harvests }: Awaited<ReturnType<typeof plan>>) =>
  Object.fromEntries(harvests.map(({ batchId, firstMs }) => [batchId, (firstMs - MONDAY) / HOUR]))

describe('a batch that is still to be started', () => {
  it('is taken off at its best too, where the cold keeps it for its feeding', async () => {
    const outlook = { vesselId: 'left', lotId: 'a', goal: 'balanced' as const, ageH: 3, ageing: 1 }
    const { starts, meals } = planFeeding(
      room({
        vessels: [vessel('left')],
        // In doubt by 3 h: it is begun 2 h before the latest start that could do.
        outlooks: [{ ...outlook, readyH: band(20, 3), naupliiPerG: 180_000 }],
        untilMs: MONDAY + 37 * HOUR,
        cold: { keepsH: 48, survival: 0.9 },
      }),
      await openSolver(),
    )
    expect(starts.length).toBeGreaterThan(0)
    for (const { harvestMs, ready } of starts) expect(harvestMs - ready.p50).toBeLessThan(HOUR / 2)
    expect(meals.filter(({ atMs }) => atMs >= MONDAY + 26 * HOUR).map(({ lacking }) => lacking)).toEqual([
      0, 0,
    ])
  })
})

describe('a running batch', () => {
  it('is taken off at its best though it would keep for one more feeding later, where another can serve that', async () => {
    // At their best at 10:30 and 12:15. Feedings at 08:00 and 18:00: that of Wednesday, 18:00, is 48 h after 18:00 of Monday.
    const found = await plan([batch('left', 4.5), batch('right', 6.25)])
    const alone = await plan([batch('left', 4.5)])
    expect(harvestsOf(found)).toEqual({ left: 4.5, right: 6.5 })
    expect(found.lacking).toBeLessThanOrEqual(alone.lacking)
    for (const { servings, atMs } of found.meals)
      for (const { sourceId, coldH } of servings)
        if (sourceId === 'left' || sourceId === 'right') {
          expect(coldH).toBeLessThanOrEqual(48)
          expect((atMs - MONDAY) / HOUR - coldH).toBeCloseTo(harvestsOf(found)[sourceId]!, 6)
        }
  })

  it('that is at its best in the night is taken off in the evening, where its window is open and that is nearer', async () => {
    // Up from 06:00 to 22:00. At its best at 01:30, from 19:30 to 06:30: 3.5 of 6 h before, or 4.5 of 5 h after.
    expect(harvestsOf(await plan([batch('left', 19.5)]))).toEqual({ left: 16 })
    // At its best at 05:00: an hour late is nearer than seven early.
    expect(harvestsOf(await plan([batch('left', 23)]))).toEqual({ left: 24 })
    // Its window opens at 23:00.
    const late = batch('left', 19.5, { fromMs: MONDAY + 17 * HOUR })
    expect(harvestsOf(await plan([late]))).toEqual({ left: 24 })
  })

  it('waits where a feeding would be missed otherwise', async () => {
    // All of it is needed: none may die of it in the cold first.
    const found = await plan([batch('left', 10.5, { nauplii: 8250 })])
    expect(harvestsOf(found)).toEqual({ left: 12 })
    expect(found.meals[1]).toMatchObject({ lacking: 0 })
  })
})
