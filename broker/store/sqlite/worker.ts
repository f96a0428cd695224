import { parentPort, workerData } from 'node:worker_threads'
import type { StoreErrorCode } from '../contract.ts'
import { toStoreError } from './errors.ts'
import { type Kind, openQuestions, type Questions } from './questions.ts'

/** What the worker is asked, and what it answers. */
export interface WorkerAsk<K extends Kind = Kind> {
  readonly id: number
  readonly kind: K
  readonly ask: Questions[K]['ask']
}
export type WorkerAnswer =
  | { readonly id: number; readonly ok: true; readonly answer: Questions[Kind]['answer'] }
  | { readonly id: number; readonly ok: false; readonly code: StoreErrorCode; readonly message: string }

const { file } = workerData as { file: string }
const port = parentPort!
const questions = openQuestions(file)

port.on('message', (message: WorkerAsk | null) => {
  if (message === null) {
    questions.close()
    port.close()
    return
  }
  const { id, kind, ask } = message
  try {
    const answer = questions.ask(kind, ask)
    const transfer: ArrayBuffer[] = []
    if (kind === 'samples') {
      const { at, value, mark } = answer as Questions['samples']['answer']
      for (const column of [at, value, mark]) transfer.push(column.buffer as ArrayBuffer)
    }
    port.postMessage({ id, ok: true, answer } satisfies WorkerAnswer, transfer)
  } catch (error) {
    const { code, message } = toStoreError('read the readings', error)
    port.postMessage({ id, ok: false, code, message } satisfies WorkerAnswer)
  }
})
