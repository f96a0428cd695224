import { describe, expect, it } from 'vitest'
import { planFeeding } from '../../broker/plan/plan.ts'
import { openSolver } from '../../broker/plan/solver.ts'
import { bruteForce } from './brute-force.ts'
import { smallRoom } from './rooms.ts'

const ROOMS = 200

describe('the plan against trying everything', () => {
  it(
    `meets every meal that can be met in ${ROOMS} rooms, with no more than 2 % more cysts`,
    { timeout: 300_000 },
    async () => {
      const solve = await openSolver()
      let full = 0
      let contended = 0
      for (let seed = 1; seed <= ROOMS; seed++) {
        const input = smallRoom(seed)
        const best = bruteForce(input)
        const plan = planFeeding(input, solve)
        const steps = Math.round(plan.grams / input.gramStep)
        expect(plan.lacking, `seed ${seed}: lacking`).toBeLessThanOrEqual(best.lacking + 2)
        expect(plan.lacking, `seed ${seed}: brute force missed a plan`).toBeGreaterThanOrEqual(
          best.lacking - 2,
        )
        expect(steps, `seed ${seed}: steps`).toBeLessThanOrEqual(best.steps * 1.02)
        expect(steps, `seed ${seed}: brute force missed a plan`).toBeGreaterThanOrEqual(best.steps)
        if (best.lacking < 1) full++
        if (plan.starts.length > input.vessels.length) contended++
      }
      // The rooms are to be of all kinds: some can be fed in full, some cannot, and in some a vessel is used twice.
      expect(full).toBeGreaterThan(20)
      expect(full).toBeLessThan(ROOMS - 20)
      expect(contended).toBeGreaterThan(40)
    },
  )
})
