import type { Diagnosis } from '../../diagnosis/contract.ts'
import { RestingThread } from '../../resting-thread.ts'
import type { Question } from './question.ts'
import type { Answer } from './worker.ts'

interface Asked {
  readonly resolve: (diagnosis: Diagnosis) => void
  readonly reject: (error: Error) => void
}

/** Diagnoses on a thread of its own: no alarm waits for one. */
export class DiagnosingThread {
  readonly #thread = new RestingThread<{ id: number; question: Question }, Answer>({
    name: 'diagnosing',
    beside: import.meta.url,
    onMessage: answer => this.#take(answer),
    onGone: why => {
      for (const { reject } of this.#waiting.values()) reject(new Error(`Cannot diagnose: ${why}`))
      this.#waiting.clear()
    },
  })
  readonly #waiting = new Map<number, Asked>()
  #nextId = 0

  ask(question: Question): Promise<Diagnosis> {
    const id = this.#nextId++
    return new Promise((resolve, reject) => {
      this.#waiting.set(id, { resolve, reject })
      this.#thread.give({ id, question })
    })
  }

  close(): Promise<void> {
    return this.#thread.close()
  }

  #take(answer: Answer): void {
    const asked = this.#waiting.get(answer.id)
    this.#waiting.delete(answer.id)
    if (this.#waiting.size === 0) this.#thread.rest()
    if (answer.ok) asked?.resolve(answer.diagnosis)
    else asked?.reject(new Error(answer.message))
  }
}
