import { parentPort } from 'node:worker_threads'
import type { Plan, PlanInput } from '../../plan/contract.ts'
import { planFeeding } from '../../plan/plan.ts'
import { openSolver } from '../../plan/solver.ts'

export type PlannerAnswer =
  { readonly ok: true; readonly plan: Plan } | { readonly ok: false; readonly message: string }

const port = parentPort!

port.on('message', (input: PlanInput) => {
  answer(input).then(
    plan => port.postMessage({ ok: true, plan } satisfies PlannerAnswer),
    (error: unknown) => port.postMessage({ ok: false, message: String(error) } satisfies PlannerAnswer),
  )
})

async function answer(input: PlanInput): Promise<Plan> {
  return planFeeding(input, await openSolver())
}
