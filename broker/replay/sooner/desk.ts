import { RECORDINGS_MB, TryOutState } from '../contract.ts'
import type { SoonerAsk, SoonerDesk, SoonerView } from './contract.ts'
import type { StorePlace } from '../../store/open-at.ts'
import { RestingThread } from '../../resting-thread.ts'
import type { FromThread, ToThread } from './worker.ts'

/** Searches that may be under way or wait; further ones are refused. */
const MOST_OPEN = 4
/** What was found is kept, so many of the newest: a season's batches are looked through without being searched anew. */
const MOST_KEPT = 60

type Mutable<T> = { -readonly [K in keyof T]: T[K] }
/** `run` tells a search from one for the same question that was ended before. */
type Kept = Mutable<SoonerView> & { readonly run: number }

/** Runs the searches on a thread of their own. A question is known again by all that is asked: other settings, another search. */
export class ThreadSooner implements SoonerDesk {
  readonly #views = new Map<string, Kept>()
  readonly #thread: RestingThread<ToThread, FromThread>
  #runs = 0

  /** `place` is where the store is. */
  constructor({ place }: { place: StorePlace }) {
    this.#thread = new RestingThread({
      name: 'sooner',
      beside: import.meta.url,
      data: { place },
      mostMb: RECORDINGS_MB,
      onMessage: message => this.#take(message),
      onGone: why => {
        const error = `The search ended too early: ${why}. Start it again.`
        for (const view of this.#open()) Object.assign(view, { state: TryOutState.failed, error })
      },
    })
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
    this.#thread.give({ run, ask })
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
      this.#thread.tell({ cancel: view.run })
    }
    return this.find(ask)
  }

  close(): Promise<void> {
    return this.#thread.close()
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
    if (this.#open().length === 0) this.#thread.rest()
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
