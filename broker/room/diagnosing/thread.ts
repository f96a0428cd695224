import type { Worker } from 'node:worker_threads'
import type { Diagnosis } from '../../diagnosis/contract.ts'
import { startThread } from '../../thread.ts'
import type { Question } from './question.ts'
import type { Answer } from './worker.ts'

interface Asked {
  readonly resolve: (diagnosis: Diagnosis) => void
  readonly reject: (error: Error) => void
}

/** Diagnoses on a thread of its own: no alarm waits for one. It is started with the first question, and again if it should end. */
export class DiagnosingThread {
  #worker: Worker | null = null
  #nextId = 0
  readonly #waiting = new Map<number, Asked>()

  ask(question: Question): Promise<Diagnosis> {
    const worker = (this.#worker ??= this.#started())
    const id = this.#nextId++
    return new Promise((resolve, reject) => {
      this.#waiting.set(id, { resolve, reject })
      worker.postMessage({ id, question })
    })
  }

  #started(): Worker {
    const worker = startThread('worker', import.meta.url, { name: 'diagnosing' })
    // Whoever waits for an answer is what keeps the service up; this does not.
    worker.unref()
    worker.on('message', (answer: Answer) => {
      const asked = this.#waiting.get(answer.id)
      this.#waiting.delete(answer.id)
      if (answer.ok) asked?.resolve(answer.diagnosis)
      else asked?.reject(new Error(answer.message))
    })
    const gone = (error: Error) => {
      if (this.#worker !== worker) return
      this.#worker = null
      for (const { reject } of this.#waiting.values()) reject(error)
      this.#waiting.clear()
    }
    worker.on('error', gone)
    worker.on('exit', () => gone(new Error('Cannot diagnose: the thread ended')))
    return worker
  }
}
