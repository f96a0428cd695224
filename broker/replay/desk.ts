import { RECORDINGS_MB, type TryOutAsk, type TryOutDesk, TryOutState, type TryOutView } from './contract.ts'
import type { StorePlace } from '../store/open-at.ts'
import { RestingThread } from '../resting-thread.ts'
import type { FromThread, ToThread } from './worker.ts'

/** Try-outs that may be under way or wait; further ones are refused. */
const MOST_OPEN = 4
/** Those that have ended are remembered, so many of the newest. */
const MOST_KEPT = 12
/** A try-out that nobody has asked for in so long gives way to the next, ms: its page is gone. Pages ask each third of a second. */
const UNASKED_MS = 30_000
/** Without work for so long the thread ends and gives its memory back, ms. */
const IDLE_MS = 10 * 60_000

type Mutable<T> = { -readonly [K in keyof T]: T[K] }

/** Runs try-outs on a thread of their own, so that neither an alarm nor a reading waits for them. */
export class ThreadTryOuts implements TryOutDesk {
  readonly #newId: () => string
  readonly #monotonicMs: () => number
  readonly #askedAtMs = new Map<string, number>()
  readonly #views = new Map<string, Mutable<TryOutView>>()
  readonly #thread: RestingThread<ToThread, FromThread>

  /** `place` is where the store is. */
  constructor({
    place,
    newId,
    monotonicMs,
  }: {
    place: StorePlace
    newId: () => string
    monotonicMs: () => number
  }) {
    this.#newId = newId
    this.#monotonicMs = monotonicMs
    this.#thread = new RestingThread({
      name: 'try-outs',
      beside: import.meta.url,
      data: { place },
      mostMb: RECORDINGS_MB,
      idleMs: IDLE_MS,
      onMessage: message => this.#take(message),
      onGone: why => {
        const error = `The try-out ended too early: ${why}. Try fewer batches.`
        for (const view of this.#open()) Object.assign(view, { state: TryOutState.failed, error })
      },
    })
  }

  start(ask: TryOutAsk): TryOutView | null {
    this.#dropUnasked()
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
    this.#askedAtMs.set(view.id, this.#monotonicMs())
    const ended = [...this.#views.values()].filter(isOver)
    for (const { id } of ended.slice(0, Math.max(0, this.#views.size - MOST_KEPT))) {
      this.#views.delete(id)
      this.#askedAtMs.delete(id)
    }
    this.#thread.give({ id: view.id, ask })
    return { ...view }
  }

  find(id: string): TryOutView | undefined {
    const view = this.#views.get(id)
    if (view) this.#askedAtMs.set(id, this.#monotonicMs())
    return view && { ...view, batches: [...view.batches] }
  }

  cancel(id: string): TryOutView | undefined {
    const view = this.#views.get(id)
    if (view && !isOver(view)) {
      view.state = TryOutState.cancelled
      this.#thread.tell({ cancel: id })
    }
    return this.find(id)
  }

  #dropUnasked(): void {
    const before = this.#monotonicMs() - UNASKED_MS
    for (const { id } of this.#open()) if ((this.#askedAtMs.get(id) ?? before) <= before) this.cancel(id)
  }

  close(): Promise<void> {
    return this.#thread.close()
  }

  #take(message: FromThread): void {
    const view = this.#views.get(message.id)
    if ('ended' in message && this.#open().every(({ id }) => id === message.id)) this.#thread.rest()
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

  #open(): Mutable<TryOutView>[] {
    return [...this.#views.values()].filter(view => !isOver(view))
  }
}

function isOver({ state }: TryOutView): boolean {
  return state !== TryOutState.waiting && state !== TryOutState.running
}
