import { parentPort } from 'node:worker_threads'
import { diagnose } from '../../diagnosis/diagnose.ts'
import type { Diagnosis } from '../../diagnosis/contract.ts'
import { lotBelief } from '../../hatch/lot/belief.ts'
import type { Question } from './question.ts'

export type Answer =
  | { readonly id: number; readonly ok: true; readonly diagnosis: Diagnosis }
  | { readonly id: number; readonly ok: false; readonly message: string }

const port = parentPort!

port.on('message', ({ id, question }: { id: number; question: Question }) => {
  port.postMessage(answer(id, question))
})

function answer(id: number, { input, history }: Question): Answer {
  try {
    const belief = lotBelief(history, null, input.batch.startedAtMs)
    const counted = history.filter(({ items }) => items.some(({ kind }) => kind === 'count')).length
    return { id, ok: true, diagnosis: diagnose({ ...input, lot: { belief, counted } }) }
  } catch (error) {
    return { id, ok: false, message: error instanceof Error ? error.message : String(error) }
  }
}
