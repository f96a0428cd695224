import type { Worker } from 'node:worker_threads'
import { StoreError, StoreErrorCode } from '../contract.ts'
import { closed } from '../refusals.ts'
import { toStoreError } from './errors.ts'
import { type Kind, openQuestions, type Questions } from './questions.ts'
import { startThread } from '../../thread.ts'
import type { WorkerAnswer, WorkerAsk } from './worker.ts'

/** Answers questions about the readings off the event loop, one after the other. */
export interface Asker {
  ask<K extends Kind>(kind: K, ask: Questions[K]['ask']): Promise<Questions[K]['answer']>
  /** What is being asked is rejected. */
  close(): Promise<void>
}

/** Questions that may wait; a further one is rejected, so that an impatient page cannot fill the memory. */
const MOST_WAITING = 256

const CLOSED = () => closed('read the readings')

interface Waiting {
  readonly resolve: (answer: never) => void
  readonly reject: (error: StoreError) => void
}

/** A worker thread with its own connection, started with the first question, and again if it should end. */
export class ThreadAsker implements Asker {
  readonly #file: string
  #worker: Worker | null = null
  readonly #waiting = new Map<number, Waiting>()
  #lastId = 0
  #closed = false

  constructor(file: string) {
    this.#file = file
  }

  ask<K extends Kind>(kind: K, ask: Questions[K]['ask']): Promise<Questions[K]['answer']> {
    if (this.#closed) return Promise.reject(CLOSED())
    if (this.#waiting.size >= MOST_WAITING) {
      const message = `Cannot read the readings: at most ${MOST_WAITING} questions may wait; ask again later`
      return Promise.reject(new StoreError(StoreErrorCode.failed, message))
    }
    const worker = (this.#worker ??= this.#start())
    return new Promise((resolve, reject) => {
      const id = ++this.#lastId
      this.#waiting.set(id, { resolve, reject })
      worker.ref()
      worker.postMessage({ id, kind, ask } satisfies WorkerAsk<K>)
    })
  }

  async close(): Promise<void> {
    this.#closed = true
    this.#rejectAll(CLOSED())
    const worker = this.#worker
    if (worker === null) return
    const ended = new Promise<void>(resolve => worker.once('exit', () => resolve()))
    worker.ref()
    worker.postMessage(null)
    await ended
  }

  #start(): Worker {
    const worker = startThread('worker', import.meta.url, {
      workerData: { file: this.#file },
      name: 'readings',
    })
    worker.on('message', (answer: WorkerAnswer) => {
      const waiting = this.#waiting.get(answer.id)
      this.#waiting.delete(answer.id)
      // An idle worker does not keep the process running; one that is asked does.
      if (this.#waiting.size === 0) worker.unref()
      if (answer.ok) waiting?.resolve(answer.answer as never)
      else waiting?.reject(new StoreError(answer.code, answer.message))
    })
    const gone = (error: Error | null) => {
      if (this.#worker !== worker) return
      this.#worker = null
      const cause = error ?? new Error('the reading thread ended')
      this.#rejectAll(toStoreError('read the readings', cause))
    }
    worker.on('error', gone)
    worker.on('exit', () => gone(null))
    return worker
  }

  #rejectAll(error: StoreError): void {
    const waiting = [...this.#waiting.values()]
    this.#waiting.clear()
    for (const { reject } of waiting) reject(error)
  }
}

/** The same on the caller's own thread: for a short command that would wait anyway. */
export class InlineAsker implements Asker {
  readonly #file: string
  #questions: ReturnType<typeof openQuestions> | null = null
  #closed = false

  constructor(file: string) {
    this.#file = file
  }

  async ask<K extends Kind>(kind: K, ask: Questions[K]['ask']): Promise<Questions[K]['answer']> {
    if (this.#closed) throw CLOSED()
    try {
      this.#questions ??= openQuestions(this.#file)
      return this.#questions.ask(kind, ask)
    } catch (error) {
      throw toStoreError('read the readings', error)
    }
  }

  async close(): Promise<void> {
    this.#closed = true
    this.#questions?.close()
    this.#questions = null
  }
}
