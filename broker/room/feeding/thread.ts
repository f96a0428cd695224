import type { Worker } from 'node:worker_threads'
import type { Plan, PlanInput } from '../../plan/contract.ts'
import { startThread } from '../../thread.ts'
import type { PlannerAnswer } from './worker.ts'

/** Makes plans where nobody waits for the event loop. */
export interface Planner {
  plan(input: PlanInput): Promise<Plan>
  close(): Promise<void>
}

/** A thread of its own, started with the first plan, and again if it should end. One plan at a time. */
export function createPlanner(): Planner {
  let worker: Worker | null = null
  let closed = false
  let waiting: { resolve: (plan: Plan) => void; reject: (error: Error) => void } | null = null

  function gone(which: Worker, error: Error): void {
    if (worker !== which) return
    worker = null
    waiting?.reject(error)
    waiting = null
  }
  function started(): Worker {
    const one = startThread('worker', import.meta.url, { name: 'planning' })
    one.on('message', (answer: PlannerAnswer) => {
      one.unref()
      const asked = waiting
      waiting = null
      if (answer.ok) asked?.resolve(answer.plan)
      else asked?.reject(new Error(answer.message))
    })
    one.on('error', error => gone(one, error))
    one.on('exit', () => gone(one, new Error('Cannot plan: the planning thread ended')))
    return one
  }
  return {
    plan(input) {
      if (closed) return Promise.reject(new Error('Cannot plan: the service stops'))
      if (waiting) return Promise.reject(new Error('Cannot plan: a plan is being made already'))
      const one = (worker ??= started())
      one.ref()
      return new Promise((resolve, reject) => {
        waiting = { resolve, reject }
        one.postMessage(input)
      })
    },
    async close() {
      closed = true
      await worker?.terminate()
    },
  }
}
