import type { ReactiveController, ReactiveControllerHost } from 'lit'
import type { BatchEvent } from '../../broker/web/api/events.ts'
import { ApiError, request } from './api.ts'
import { withEvent } from './log-entries.ts'
import { store, type Frame } from './store.ts'

/** Where the reading of a log stands. A closed set. */
export type LogState = 'loading' | 'shown' | 'failed'

/** What people saw and did with one batch: fetched once, carried on by the live feed. */
export class BatchLog implements ReactiveController {
  /** In the order of their time, those taken back among them. Replaced, never changed. */
  events: readonly BatchEvent[] = []
  state: LogState = 'loading'
  problem = ''
  readonly #host: ReactiveControllerHost
  #batchId: string | null = null
  #stop: (() => void) | undefined
  #abort: AbortController | undefined

  constructor(host: ReactiveControllerHost) {
    this.#host = host
    host.addController(this)
  }

  hostConnected(): void {
    this.#stop = store.subscribe(frame => this.#take(frame))
    if (this.#batchId !== null) void this.#fetch()
  }
  hostDisconnected(): void {
    this.#stop?.()
    this.#abort?.abort()
  }

  /** Follows another batch; `null` follows none. */
  follow(batchId: string | null): void {
    if (batchId === this.#batchId) return
    this.#batchId = batchId
    this.events = []
    this.state = 'loading'
    this.#abort?.abort()
    if (batchId !== null) void this.#fetch()
  }

  /** Reads the log anew. */
  again(): void {
    if (this.#batchId !== null) void this.#fetch()
  }

  /** Takes in what a request answered, without waiting for the feed to tell it too. */
  take(event: BatchEvent): void {
    if (event.batchId !== this.#batchId) return
    this.events = withEvent(this.events, event)
    this.#host.requestUpdate()
  }

  async #fetch(): Promise<void> {
    this.#abort?.abort()
    const abort = new AbortController()
    this.#abort = abort
    try {
      const path = `/batches/${encodeURIComponent(this.#batchId ?? '')}/events`
      const { events } = await request<{ events: BatchEvent[] }>('GET', path, undefined, abort.signal)
      // What the feed told while the answer was under way may be newer than the answer.
      this.events = this.events.reduce(withEvent, events)
      this.state = 'shown'
    } catch (error) {
      if (abort.signal.aborted) return
      this.state = 'failed'
      this.problem = error instanceof ApiError ? error.message : 'What was seen could not be read.'
    }
    this.#host.requestUpdate()
  }

  #take(frame: Frame): void {
    // A snapshot tells nothing of logs, so something may have been missed.
    if (frame.fresh && this.#batchId !== null) void this.#fetch()
    for (const { event } of frame.seen) this.take(event)
  }
}
