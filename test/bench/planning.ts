import { planFeeding } from '../../broker/plan/plan.ts'
import { openSolver } from '../../broker/plan/solver.ts'
import { largeRoom } from '../plan/large-room.ts'
import { middle } from './numbers.ts'
import type { Figure, Settings, Subject } from './subject.ts'

/** The feeding plan of a room of 12 vessels and 10 groups of fry for 14 days, and how far it is above the least cysts at most. */
export const planning: Subject = {
  name: 'planning',
  async measure({ repeats }: Settings) {
    const solve = await openSolver()
    const figures: Figure[] = []
    for (const cold of [true, false]) {
      const input = largeRoom({ cold })
      const how = cold ? 'with a refrigerator' : 'fed from the vessels'
      const rounds = Array.from({ length: 3 * repeats }, () => {
        const beganMs = performance.now()
        const plan = planFeeding(input, solve)
        return { tookMs: performance.now() - beganMs, plan }
      })
      const [first] = rounds
      figures.push(
        {
          name: `12 vessels, 10 groups, 14 days, ${how}`,
          unit: 'ms',
          bar: { below: 2000 },
          ...middle(rounds.map(({ tookMs }) => tookMs)),
        },
        {
          name: 'cysts above the least possible, at most',
          unit: '%',
          value: (first?.plan.proof.gap ?? NaN) * 100,
        },
      )
    }
    return figures
  },
}
