import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { Plan, PlanInput } from '../../broker/plan/contract.ts'
import { planFeeding } from '../../broker/plan/plan.ts'
import { openSolver } from '../../broker/plan/solver.ts'
import { PlanCause, type Feeding, type Pantry } from '../../broker/room/feeding/contract.ts'
import { openFeeding } from '../../broker/room/feeding/feeding.ts'
import { createPlanner, type Planner } from '../../broker/room/feeding/thread.ts'
import { HOUR, openTestRoom, type Opened } from './opened.ts'

const FRY = {
  name: 'Spawn 12',
  species: 'angelfish',
  fry: 200,
  bornMs: Date.UTC(2026, 0, 5),
  ration: [{ fromDay: 0, naupliiPerFry: 150 }],
  times: ['08:00', '18:00'],
  food: { kind: 'up-to' as const, hours: 24 },
  endsMs: null,
}

let opened: Opened
let feeding: Feeding
let asked: PlanInput[]
let errors: string[]

/** Plans on the test's own thread, and remembers what it was asked. */
function inline(): Planner {
  return {
    async plan(input): Promise<Plan> {
      asked.push(input)
      return planFeeding(input, await openSolver())
    },
    close: async () => undefined,
  }
}
const open = (pantry: Pantry | null = null, planner: Planner = inline()) =>
  openFeeding({
    store: opened.store,
    room: opened.room,
    clock: () => opened.nowMs,
    newId: (
      (n = 0) =>
      () =>
        `fry-${n++}`
    )(),
    logger: { error: (_, message) => void errors.push(message) },
    zone: 'UTC',
    pantry,
    planner,
  })

beforeEach(async () => {
  opened = await openTestRoom()
  asked = []
  errors = []
  feeding = await open()
})
afterEach(async () => {
  await feeding.close()
  await opened.close()
})

describe('the feeding plan of a room', () => {
  it('keeps groups of fry, changes them and puts them away', async () => {
    const kept = await feeding.keepCohort(null, FRY)
    expect(await feeding.cohorts()).toEqual([{ id: kept.id, ...FRY, enteredMs: opened.nowMs }])
    await feeding.keepCohort(kept.id, { ...FRY, fry: 150 })
    feeding = await open()
    expect((await feeding.cohorts()).map(({ fry }) => fry)).toEqual([150])
    await feeding.dropCohort(kept.id)
    expect(await feeding.cohorts()).toEqual([])
    await expect(feeding.dropCohort(kept.id)).rejects.toThrow(/Cannot find the fry/)
    await expect(feeding.keepCohort('nobody', FRY)).rejects.toThrow(/Cannot find the fry/)
  })

  it('asks for the first feeding of a group after it was written down, and for none before', async () => {
    await opened.room.createVessel({ name: 'Left', litres: 2 })
    const enteredMs = opened.nowMs
    const at = (ms: number) => new Date(ms).toISOString().slice(11, 16)
    // Ten minutes ago, and in an hour.
    await feeding.keepCohort(null, { ...FRY, times: [at(enteredMs - 10 * 60_000), at(enteredMs + HOUR)] })
    opened.nowMs += 4 * 60_000
    const plan = await feeding.plan()
    expect(plan.open).toEqual([])
    expect(plan.meals[0]!.atMs).toBe(enteredMs + HOUR)
    // Changed since, it is the group that it was.
    opened.nowMs = enteredMs + HOUR + 60_000
    const [kept] = await feeding.cohorts()
    await feeding.keepCohort(kept!.id, { ...FRY, fry: 150, times: kept!.times })
    expect((await feeding.plan()).open.map(({ atMs }) => atMs)).toEqual([enteredMs + HOUR])
  })

  it('is made anew for a reason, and not otherwise', async () => {
    await opened.room.createVessel({ name: 'Left', litres: 2 })
    await feeding.keepCohort(null, FRY)
    const first = await feeding.plan()
    expect(first.starts.length).toBeGreaterThan(0)
    expect(new Set(first.causes)).toEqual(new Set([PlanCause.first, PlanCause.batches, PlanCause.cohorts]))
    expect(await feeding.plan()).toBe(first)
    opened.nowMs += 16 * 60_000
    expect((await feeding.plan()).causes).toEqual([PlanCause.time])
    await feeding.changePreferences({ ...feeding.preferences(), spare: 0.5 })
    const third = await feeding.plan()
    expect(third.causes).toEqual([PlanCause.preferences])
    expect(third.grams).toBeGreaterThan(first.grams)
  })

  it('starts a batch as it is planned, and plans with it from then on', async () => {
    const vessel = await opened.room.createVessel({ name: 'Left', litres: 2 })
    await feeding.keepCohort(null, FRY)
    const plan = await feeding.plan()
    const [start] = plan.starts
    const batch = await feeding.startPlanned(start!.id)
    expect(batch).toMatchObject({ vesselId: vessel.row.id, litres: 2, cystsG: start!.grams, salinityGpl: 25 })
    const after = await feeding.plan()
    expect(after.causes).toContain(PlanCause.batches)
    expect(after.harvests.map(({ batchId }) => batchId)).toEqual([batch.id])
    expect(after.running.map(({ id }) => id)).toEqual([batch.id])
    await expect(feeding.startPlanned('gone')).rejects.toThrow(/no start gone any more/)
  })

  it('follows a forecast that moves, and tells what is otherwise', async () => {
    const vessel = await opened.room.createVessel({ name: 'Left', litres: 2 })
    await feeding.keepCohort(null, FRY)
    await opened.room.startBatch({ vesselId: vessel.row.id, litres: 1, cystsG: 1, salinityGpl: 25 })
    const before = await feeding.plan()
    const was = before.running[0]!.readyMs
    // Nothing is developed before the start: put later, it is ready later.
    opened.nowMs += 10 * HOUR
    await opened.room.changeBatch(before.running[0]!.id, { startedAtMs: opened.nowMs - HOUR })
    const after = await feeding.plan()
    expect(after.running[0]!.readyMs).toBeGreaterThan(was + 8 * HOUR)
    expect(after.causes).toContain(PlanCause.batches)
    expect(after.changes.map(({ kind }) => kind)).toContain('harvest-moved')
  })

  it('makes one plan of many changes, when they have settled', async () => {
    feeding.tick()
    opened.nowMs += 5000
    for (let i = 0; i < 5; i++) await feeding.keepCohort(null, { ...FRY, name: `Spawn ${i}` })
    const plans: number[] = []
    feeding.onPlan(plan => plans.push(plan.cohorts.length))
    for (let second = 0; second < 10; second++) {
      opened.nowMs += 1000
      feeding.tick()
      await new Promise(resolve => setTimeout(resolve, 5))
    }
    await feeding.plan()
    expect(plans).toEqual([5])
    expect(errors).toEqual([])
  })

  it('takes what is on the shelf and in the refrigerator', async () => {
    await feeding.close()
    feeding = await open({
      lots: async () => [{ id: 'A', name: 'A', gramsLeft: 0.3 }],
      held: async () => [
        { id: 'cup', name: 'A', nauplii: 50_000, ageH: 4, heldSinceMs: opened.nowMs - HOUR },
      ],
    })
    await opened.room.createVessel({ name: 'Left', litres: 2 })
    await feeding.keepCohort(null, FRY)
    const plan = await feeding.plan()
    expect(plan.grams).toBeLessThanOrEqual(0.3)
    const cup = plan.meals.flatMap(({ servings }) => servings).filter(({ sourceId }) => sourceId === 'cup')
    expect(cup.length).toBeGreaterThan(0)
    expect(plan.risks.some(({ kind }) => kind === 'short-of-cysts')).toBe(true)
  })

  it('gives a private address that ends when another one is made', async () => {
    expect(await feeding.hasCalendarKey()).toBe(false)
    const key = await feeding.newCalendarKey()
    expect(key.length).toBeGreaterThan(40)
    expect(await feeding.knowsCalendarKey(key)).toBe(true)
    expect(await feeding.knowsCalendarKey('')).toBe(false)
    const other = await feeding.newCalendarKey()
    expect([await feeding.knowsCalendarKey(key), await feeding.knowsCalendarKey(other)]).toEqual([
      false,
      true,
    ])
    await feeding.dropCalendarKey()
    expect(await feeding.knowsCalendarKey(other)).toBe(false)
  })

  it('is made on a thread of its own', async () => {
    await feeding.close()
    feeding = await open(null, createPlanner())
    await opened.room.createVessel({ name: 'Left', litres: 2 })
    await feeding.keepCohort(null, FRY)
    expect((await feeding.plan()).starts.length).toBeGreaterThan(0)
  })
})
