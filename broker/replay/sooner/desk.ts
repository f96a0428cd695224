import type { Worker } from 'node:worker_threads'
import { startThread } from '../../thread.ts'
import { TryOutState } from '../contract.ts'
import type { SoonerAsk, SoonerDesk, SoonerView } from './contract.ts'
import type { FromThread, ToThread } from './worker.ts'

/** Searches that may be under way or wait; further ones are refused. */
const MOST_OPEN = 4
/** What was found is kept, so many of the newest: a season's batches are looked through without being searched anew. */
const MOST_KEPT = 60
/** Without work for so long the thread ends and gives its memory back, ms. */
const IDLE_MS = 2 * 60_000
/** What the thread may take of the memory, MB. */
const MOST_MB = 512

type Mutable<T> = { -readonly [K in keyof T]: T[K] }
/** `run` tells a search from one for the same question that was ended before. */
type Kept = Mutable<SoonerView> & { readonly run: number }

/** Runs the searches on a thread of their own. A question is known again by all that is asked: other settings, another search. */
export class ThreadSooner implements SoonerDesk {
  readonly #dir: string
  readonly #views = new Map<string, Kept>()
  #runs = 0
  #thread: Worker | null = null
  #idle: NodeJS.Timeout | null = null

  /** `dir` is the data directory. */
  constructor({ dir }: { dir: string }) {
    this.#dir = dir
  }

  start(ask: SoonerAsk): SoonerView | null {
    const key = keyOf(ask)
    const known = this.#views.get(key)
    if (known && (isOpen(known) || known.state === TryOutState.done)) return shown(known)
    if (this.#open().length >= MOST_OPEN) return null
    const run = this.#runs++
    const view: Kept = { run, state: TryOutState.waiting, progress: 0, result: null, error: null }
    this.#views.delete(key)
    this.#views.set(key, view)
    this.#forget()
    if (this.#idle) clearTimeout(this.#idle)
    this.#thread ??= this.#begin()
    this.#thread.ref()
    this.#thread.postMessage({ run, ask } satisfies ToThread)
    return shown(view)
  }

  find(ask: SoonerAsk): SoonerView | undefined {
    const view = this.#views.get(keyOf(ask))
    return view && shown(view)
  }

  cancel(ask: SoonerAsk): SoonerView | undefined {
    const view = this.#views.get(keyOf(ask))
    if (view && isOpen(view)) {
      view.state = TryOutState.cancelled
      this.#thread?.postMessage({ cancel: view.run } satisfies ToThread)
    }
    return this.find(ask)
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
      name: 'sooner',
      resourceLimits: { maxOldGenerationSizeMb: MOST_MB },
    })
    thread.on('message', (message: FromThread) => this.#take(message))
    const gone = (error: Error | null) => {
      if (this.#thread !== thread) return
      this.#thread = null
      const words = `The search ended too early: ${error?.message ?? 'its thread is gone'}. Start it again.`
      for (const view of this.#open()) Object.assign(view, { state: TryOutState.failed, error: words })
    }
    thread.on('error', gone)
    thread.on('exit', () => gone(null))
    return thread
  }

  #take(message: FromThread): void {
    const view = this.#open().find(({ run }) => run === message.run)
    if (view && 'progress' in message) {
      view.state = TryOutState.running
      view.progress = Math.max(view.progress, message.progress)
    } else if (view && 'result' in message)
      Object.assign(view, { state: TryOutState.done, progress: 1, result: message.result })
    else if (view && 'failed' in message)
      Object.assign(view, { state: TryOutState.failed, error: message.failed })
    this.#rest()
  }

  /** With nothing to do, the thread keeps neither the process running nor, after a while, its memory. */
  #rest(): void {
    if (this.#open().length > 0) return
    this.#thread?.unref()
    if (this.#idle) clearTimeout(this.#idle)
    this.#idle = setTimeout(() => void this.close(), IDLE_MS).unref()
  }

  #open(): Kept[] {
    return [...this.#views.values()].filter(isOpen)
  }

  #forget(): void {
    for (const [key, view] of this.#views) {
      if (this.#views.size <= MOST_KEPT) return
      if (!isOpen(view)) this.#views.delete(key)
    }
  }
}

const shown = ({ state, progress, result, error }: Kept): SoonerView => ({ state, progress, result, error })
const isOpen = ({ state }: SoonerView): boolean =>
  state === TryOutState.waiting || state === TryOutState.running

const keyOf = ({ settings: { rules, altitudeM }, ...ask }: SoonerAsk): string =>
  JSON.stringify([ask, rules, altitudeM])
