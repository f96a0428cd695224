import fc from 'fast-check'
import { beforeAll, describe, expect, it } from 'vitest'
import type { Plan, PlanInput } from '../../broker/plan/contract.ts'
import { planFeeding } from '../../broker/plan/plan.ts'
import { openSolver, type Solver } from '../../broker/plan/solver.ts'
import { aliveAfter } from '../../broker/plan/ways.ts'
import { band, cohort, HOUR, MONDAY, room } from './rooms.ts'

let solve: Solver
beforeAll(async () => {
  solve = await openSolver()
})

const clock = fc
  .tuple(fc.integer({ min: 6, max: 21 }), fc.constantFrom('00', '30'))
  .map(([h, m]) => `${String(h).padStart(2, '0')}:${m}`)
/** Rooms of every size that the search treats in its own way, with bands, cold storage that loses, and open batches. */
const rooms: fc.Arbitrary<PlanInput> = fc
  .record({
    vessels: fc.array(
      fc.record({
        litres: fc.constantFrom(0.5, 1, 2),
        turn: fc.constantFrom(0, 45),
        free: fc.integer({ min: 0, max: 20 }),
      }),
      { minLength: 1, maxLength: 5 },
    ),
    lots: fc.array(
      fc.record({
        grams: fc.option(fc.double({ min: 0, max: 8, noNaN: true })),
        perG: fc.integer({ min: 80_000, max: 250_000 }),
        ready: fc.double({ min: 12, max: 34, noNaN: true }),
        doubt: fc.double({ min: 0, max: 6, noNaN: true }),
      }),
      { minLength: 1, maxLength: 2 },
    ),
    cohorts: fc.array(
      fc.record({
        fry: fc.integer({ min: 1, max: 900 }),
        times: fc.uniqueArray(clock, { minLength: 1, maxLength: 3 }),
        hours: fc.option(fc.integer({ min: 5, max: 40 })),
      }),
      { minLength: 0, maxLength: 3 },
    ),
    cold: fc.option(
      fc.record({
        keepsH: fc.integer({ min: 6, max: 48 }),
        survival: fc.double({ min: 0.5, max: 1, noNaN: true }),
      }),
    ),
    open: fc.option(
      fc.record({ ready: fc.integer({ min: -10, max: 20 }), nauplii: fc.integer({ min: 0, max: 300_000 }) }),
    ),
    held: fc.option(
      fc.record({
        nauplii: fc.integer({ min: 1, max: 90_000 }),
        agoH: fc.integer({ min: 0, max: 30 }),
        ageH: fc.integer({ min: 0, max: 20 }),
      }),
    ),
    days: fc.integer({ min: 1, max: 5 }),
    zone: fc.constantFrom('UTC', 'Europe/Berlin', 'America/St_Johns'),
  })
  .map(({ vessels, lots, cohorts, cold, open, held, days, zone }) => {
    const all = vessels.map(({ litres, turn, free }, i) => ({
      id: `v${i}`,
      name: `V${i}`,
      litres,
      turnroundMin: turn,
      freeFromMs: MONDAY + (i === 0 && open ? 0 : free * HOUR),
      maxGpl: 2,
    }))
    return room({
      vessels: all,
      lots: lots.map(({ grams }, i) => ({ id: `l${i}`, name: `L${i}`, gramsLeft: grams })),
      outlooks: all.flatMap(({ id }) =>
        lots.map(({ perG, ready, doubt }, i) => ({
          vesselId: id,
          lotId: `l${i}`,
          goal: 'balanced' as const,
          readyH: band(ready, doubt),
          ageH: 3,
          ageing: 1,
          naupliiPerG: perG,
        })),
      ),
      cohorts: cohorts.map(({ fry, times, hours }, i) =>
        cohort({
          id: `c${i}`,
          fry,
          times,
          food: hours === null ? { kind: 'instar-1' } : { kind: 'up-to', hours },
        }),
      ),
      cold,
      running: open
        ? [
            {
              id: 'open',
              vesselId: 'v0',
              ready: band(MONDAY + open.ready * HOUR, HOUR),
              ageH: 3,
              ageing: 1,
              nauplii: open.nauplii,
            },
          ]
        : [],
      held: held
        ? [
            {
              id: 'cup',
              name: 'Cup',
              nauplii: held.nauplii,
              ageH: held.ageH,
              heldSinceMs: MONDAY - held.agoH * HOUR,
            },
          ]
        : [],
      untilMs: MONDAY + days * 24 * HOUR,
      zone,
    })
  })

const sum = (numbers: readonly number[]) => numbers.reduce((a, b) => a + b, 0)
const SOURCES = 100

describe('every plan', () => {
  it('keeps to vessels, ages, lots and amounts', { timeout: 180_000 }, () => {
    fc.assert(
      fc.property(rooms, input => {
        const plan = planFeeding(input, solve)
        vesselsAreNotDoublyUsed(input, plan)
        lotsAreNotOverdrawn(input, plan)
        mealsAreWithinTheirAge(input, plan)
        nothingComesFromNowhere(input, plan)
      }),
      { numRuns: SOURCES, seed: 7 },
    )
  })

  it('is the same for the same room', () => {
    fc.assert(
      fc.property(rooms, input => {
        expect(planFeeding(input, solve)).toEqual(planFeeding(structuredClone(input), solve))
      }),
      { numRuns: 12, seed: 11 },
    )
  })
})

function vesselsAreNotDoublyUsed(input: PlanInput, { starts, harvests }: Plan): void {
  for (const vessel of input.vessels) {
    const busy = harvests.find(({ vesselId }) => vesselId === vessel.id)
    let freeMs = busy ? busy.harvestMs + vessel.turnroundMin * 60_000 : vessel.freeFromMs
    for (const start of starts.filter(({ vesselId }) => vesselId === vessel.id)) {
      expect(start.startMs).toBeGreaterThanOrEqual(freeMs)
      expect(start.harvestMs).toBeGreaterThanOrEqual(start.ready.p50)
      expect(start.grams).toBeLessThanOrEqual(vessel.litres * vessel.maxGpl + 1e-9)
      freeMs = start.harvestMs + vessel.turnroundMin * 60_000
      expect(start.freeMs).toBe(freeMs)
    }
  }
}

function lotsAreNotOverdrawn(input: PlanInput, { starts, grams }: Plan): void {
  for (const { id, gramsLeft } of input.lots) {
    const drawn = sum(starts.filter(({ lotId }) => lotId === id).map(start => start.grams))
    if (gramsLeft !== null) expect(drawn).toBeLessThanOrEqual(gramsLeft + 1e-6)
  }
  expect(sum(starts.map(start => start.grams))).toBeCloseTo(grams, 6)
  for (const start of starts)
    expect(start.grams / input.gramStep).toBeCloseTo(Math.round(start.grams / input.gramStep), 6)
}

function mealsAreWithinTheirAge(input: PlanInput, { meals, starts, harvests }: Plan): void {
  for (const meal of meals) {
    const told = sum(meal.servings.map(({ nauplii }) => nauplii)) + meal.lacking
    // A hundredth of a meal is not told of as lacking.
    expect(Math.abs(told - meal.wanted)).toBeLessThanOrEqual(meal.wanted * 0.02)
    for (const { sourceId, ageH, coldH } of meal.servings) {
      expect(ageH).toBeLessThanOrEqual(meal.limitH + 1e-9)
      expect(coldH).toBeLessThanOrEqual((input.cold?.keepsH ?? 0) + 1e-9)
      const start = starts.find(({ id }) => id === sourceId)
      const harvestMs = harvests.find(({ batchId }) => batchId === sourceId)?.harvestMs
      // Without a refrigerator it is drawn from the vessel meal by meal, and the last meal is the harvest.
      const from = start ?? (harvestMs === undefined ? null : { harvestMs, ready: input.running[0]!.ready })
      if (from && input.cold) expect(meal.atMs).toBeGreaterThanOrEqual(from.harvestMs)
      if (from && !input.cold) expect(meal.atMs).toBeLessThanOrEqual(from.harvestMs)
      if (from) expect(meal.atMs).toBeGreaterThanOrEqual(from.ready.p50)
      if (start) {
        // Told again from scratch: how old the mean nauplius is when it goes cold, or is fed.
        const untilMs = input.cold ? start.harvestMs : meal.atMs
        expect(ageH).toBeCloseTo(3 + (untilMs - start.ready.p50) / HOUR, 6)
      }
    }
  }
}

function nothingComesFromNowhere(input: PlanInput, plan: Plan): void {
  const given = new Map<string, number>([
    ...plan.starts.map(({ id, nauplii }) => [id, nauplii] as const),
    ...input.running.map(({ id, nauplii }) => [id, nauplii] as const),
    ...input.held.map(({ id, nauplii }) => [id, nauplii] as const),
  ])
  for (const [id, nauplii] of given) {
    const taken = sum(
      plan.meals.flatMap(({ servings }) =>
        servings
          .filter(({ sourceId }) => sourceId === id)
          .map(({ nauplii: fed, coldH, source }) => {
            if (!input.cold) return fed
            const alive = aliveAfter(input.cold, coldH)
            const held = input.held[0]
            return source === 'held' && held
              ? (fed / alive) * aliveAfter(input.cold, (input.nowMs - held.heldSinceMs) / HOUR)
              : fed / alive
          }),
      ),
    )
    expect(taken).toBeLessThanOrEqual(nauplii + 20)
  }
}
