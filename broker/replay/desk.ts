import type { Worker } from 'node:worker_threads'
import { startThread } from '../thread.ts'
import { type TryOutAsk, type TryOutDesk, TryOutState, type TryOutView } from './contract.ts'
import type { FromThread, ToThread } from './worker.ts'

/** Try-outs that may be under way or wait; further ones are refused. */
const MOST_OPEN = 4
/** Those that have ended are remembered, so many of the newest. */
const MOST_KEPT = 12
/** Without work for so long the thread ends and gives its memory back, ms. */
const IDLE_MS = 10 * 60_000
/** What the thread may take of the memory, MB: recordings are read a few hours at a time. */
const MOST_MB = 512

type Mutable<T> = { -readonly [K in keyof T]: T[K] }

/** Runs try-outs on a thread of their own, so that neither an alarm nor a reading waits for them. */
export class ThreadTryOuts implements TryOutDesk {
  readonly #dir: string
  readonly #newId: () => string
  readonly #views = new Map<string, Mutable<TryOutView>>()
  #thread: Worker | null = null
  #idle: NodeJS.Timeout | null = null

  /** `dir` is the data directory. */
  constructor({ dir, newId }: { dir: string; newId: () => string }) {
    this.#dir = dir
    this.#newId = newId
  }

  start(ask: TryOutAsk): TryOutView | null {
    if (this.#open().length >= MOST_OPEN) return null
    const view = {
      id: this.#newId(),
      state: TryOutState.waiting,
      progress: 0,
      total: null,
      batches: [],
      error: null,
    } as TryOutView
    this.#views.set(view.id, view)
    const ended = [...this.#views.values()].filter(isOver)
    for (const { id } of ended.slice(0, Math.max(0, this.#views.size - MOST_KEPT))) this.#views.delete(id)
    if (this.#idle) clearTimeout(this.#idle)
    this.#thread ??= this.#begin()
    this.#thread.ref()
    this.#thread.postMessage({ id: view.id, ask } satisfies ToThread)
    return { ...view }
  }

  find(id: string): TryOutView | undefined {
    const view = this.#views.get(id)
    return view && { ...view, batches: [...view.batches] }
  }

  cancel(id: string): TryOutView | undefined {
    const view = this.#views.get(id)
    if (view && !isOver(view)) {
      view.state = TryOutState.cancelled
      this.#thread?.postMessage({ cancel: id } satisfies ToThread)
    }
    return this.find(id)
  }

  async close(): Promise<void> {
    if (this.#idle) clearTimeout(this.#idle)
    const thread = this.#thread
    this.#thread = null
    await thread?.terminate()
  }

  #begin(): Worker {
    const thread = startThread('worker', import.meta.url, {
      workerData: { dir: this.#dir },
      name: 'try-outs',
      resourceLimits: { maxOldGenerationSizeMb: MOST_MB },
    })
    thread.on('message', (message: FromThread) => this.#take(message))
    const gone = (error: Error | null) => {
      if (this.#thread !== thread) return
      this.#thread = null
      for (const view of this.#open())
        Object.assign(view, {
          state: TryOutState.failed,
          error: `The try-out ended too early: ${error?.message ?? 'its thread is gone'}. Try fewer batches.`,
        })
    }
    thread.on('error', gone)
    thread.on('exit', () => gone(null))
    return thread
  }

  #take(message: FromThread): void {
    const view = this.#views.get(message.id)
    if ('ended' in message) this.#rest()
    if (!view || isOver(view)) return
    view.state = TryOutState.running
    if ('total' in message) view.total = message.total
    else if ('progress' in message) {
      view.progress = Math.max(view.progress, message.progress)
      const done = new Set(view.batches.map(({ batchId }) => batchId))
      view.pending = message.pending.filter(({ batchId }) => !done.has(batchId))
    } else if ('batch' in message) {
      view.batches = [...view.batches, message.batch]
      view.pending = view.pending?.filter(({ batchId }) => batchId !== message.batch.batchId) ?? []
    } else {
      view.pending = []
      view.state = message.ended
      if (message.ended === 'failed') view.error = message.error
      if (message.ended === 'done') view.progress = 1
    }
  }

  /** With nothing to do, the thread keeps neither the process running nor, after a while, its memory. */
  #rest(): void {
    if (this.#open().length > 0) return
    this.#thread?.unref()
    if (this.#idle) clearTimeout(this.#idle)
    this.#idle = setTimeout(() => void this.close(), IDLE_MS).unref()
  }

  #open(): Mutable<TryOutView>[] {
    return [...this.#views.values()].filter(view => !isOver(view))
  }
}

function isOver({ state }: TryOutView): boolean {
  return state !== TryOutState.waiting && state !== TryOutState.running
}
