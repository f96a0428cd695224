import type { Worker } from 'node:worker_threads'
import { startThread } from './thread.ts'

/** Without work for so long a thread ends where nothing speaks for another time, ms. */
const IDLE_MS = 2 * 60_000

export interface RestingThreadParts<From> {
  readonly name: string
  /** The module beside which its `worker` lies. */
  readonly beside: string
  /** What it needs to begin with, as its `workerData`. */
  readonly data?: unknown
  /** What it may take of the memory, MB; without a limit when left out. */
  readonly mostMb?: number
  /** Without work for so long it ends and gives its memory back, ms; two minutes when left out. */
  readonly idleMs?: number
  readonly onMessage: (message: From) => void
  /** It ended though it was not told to: what it had under way is lost. */
  readonly onGone: (why: string) => void
}

/** A thread that begins with its first work, keeps the process running only while it has some, and ends after a while without. */
export class RestingThread<To, From> {
  readonly #parts: RestingThreadParts<From>
  #worker: Worker | null = null
  #idle: NodeJS.Timeout | null = null

  constructor(parts: RestingThreadParts<From>) {
    this.#parts = parts
  }

  /** Gives it work. What is `moved` is not here any more afterwards. */
  give(work: To, moved: readonly ArrayBuffer[] = []): void {
    if (this.#idle) clearTimeout(this.#idle)
    this.#worker ??= this.#begin()
    this.#worker.ref()
    this.#worker.postMessage(work, moved)
  }

  /** Tells it of what concerns work that it has; without a thread there is none. */
  tell(message: To): void {
    this.#worker?.postMessage(message)
  }

  /** It has nothing to do. */
  rest(): void {
    this.#worker?.unref()
    if (this.#idle) clearTimeout(this.#idle)
    this.#idle = setTimeout(() => void this.close(), this.#parts.idleMs ?? IDLE_MS).unref()
  }

  async close(): Promise<void> {
    if (this.#idle) clearTimeout(this.#idle)
    const worker = this.#worker
    this.#worker = null
    await worker?.terminate()
  }

  #begin(): Worker {
    const { name, beside, data, mostMb, onMessage, onGone } = this.#parts
    const worker = startThread('worker', beside, {
      workerData: data,
      name,
      resourceLimits: mostMb === undefined ? {} : { maxOldGenerationSizeMb: mostMb },
    })
    worker.on('message', onMessage)
    const gone = (error: Error | null) => {
      if (this.#worker !== worker) return
      this.#worker = null
      onGone(error?.message ?? 'its thread is gone')
    }
    worker.on('error', gone)
    worker.on('exit', () => gone(null))
    return worker
  }
}
