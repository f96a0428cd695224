import type { Plan, PlanInput } from '../../plan/contract.ts'
import { RestingThread } from '../../resting-thread.ts'
import type { PlannerAnswer } from './worker.ts'

/** Makes plans where nobody waits for the event loop. */
export interface Planner {
  plan(input: PlanInput): Promise<Plan>
  close(): Promise<void>
}

/** A thread of its own. One plan at a time. */
export function createPlanner(): Planner {
  let closed = false
  let waiting: { resolve: (plan: Plan) => void; reject: (error: Error) => void } | null = null
  const thread = new RestingThread<PlanInput, PlannerAnswer>({
    name: 'planning',
    beside: import.meta.url,
    onMessage(answer) {
      thread.rest()
      const asked = waiting
      waiting = null
      if (answer.ok) asked?.resolve(answer.plan)
      else asked?.reject(new Error(answer.message))
    },
    onGone(why) {
      waiting?.reject(new Error(`Cannot plan: ${why}`))
      waiting = null
    },
  })
  return {
    plan(input) {
      if (closed) return Promise.reject(new Error('Cannot plan: the service stops'))
      if (waiting) return Promise.reject(new Error('Cannot plan: a plan is being made already'))
      return new Promise((resolve, reject) => {
        waiting = { resolve, reject }
        thread.give(input)
      })
    },
    close() {
      closed = true
      waiting?.reject(new Error('Cannot plan: the service stops'))
      waiting = null
      return thread.close()
    },
  }
}
