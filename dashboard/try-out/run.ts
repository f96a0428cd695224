import type { ReactiveController, ReactiveControllerHost } from 'lit'
import type { NewTryOut, TryOut } from '../../broker/web/api/try-outs.ts'
import { ApiError, request } from '../state/api.ts'
import { leftMs } from '../words/try-out.ts'

/** How often it is asked how far a try-out is, ms. */
const ASK_EVERY_MS = 300
/** A slider that moves has come to rest, ms. */
const REST_MS = 350

/** Has the broker try settings out: one at a time, the last that was wished for; an older one is ended. */
export class Run implements ReactiveController {
  /** As it is now; `null` before the first. */
  tryOut: TryOut | null = null
  /** A newer one was wished for: what stands there is of older settings. */
  stale = false
  failed = ''
  /** When the one that is under way began, ms of the page's own time. */
  #beganMs = 0
  readonly #host: ReactiveControllerHost
  #timer: ReturnType<typeof setTimeout> | undefined
  /** Counts what was wished for, so that late answers of older ones are known. */
  #wish = 0
  #open: string | null = null

  constructor(host: ReactiveControllerHost) {
    this.#host = host
    host.addController(this)
  }

  hostConnected(): void {
    addEventListener('pagehide', this.#gone)
  }

  hostDisconnected(): void {
    removeEventListener('pagehide', this.#gone)
    this.#wish++
    clearTimeout(this.#timer)
    this.#end()
  }

  /** The whole page goes away: what it waited for would keep the next page waiting. */
  readonly #gone = (): void => {
    if (this.#open !== null)
      void fetch(`/api/v1${pathOf(this.#open)}`, { method: 'DELETE', keepalive: true }).catch(() => undefined)
  }

  get busy(): boolean {
    const state = this.tryOut?.state
    return this.stale || state === 'waiting' || state === 'running'
  }

  /** How long the one that is under way takes yet, ms; `null` while that cannot be told. */
  get leftMs(): number | null {
    return this.tryOut === null ? null : leftMs(performance.now() - this.#beganMs, this.tryOut.progress)
  }

  /** Tries these out as soon as nothing has been wished for a moment. */
  wish(what: NewTryOut, afterMs = REST_MS): void {
    const wish = ++this.#wish
    this.stale = true
    this.#host.requestUpdate()
    clearTimeout(this.#timer)
    this.#timer = setTimeout(() => void this.#start(wish, what), afterMs)
  }

  /** Nobody waits for it any more; what it has found stays. */
  stop(): void {
    this.#wish++
    clearTimeout(this.#timer)
    this.stale = false
    if (this.tryOut && this.#open) this.tryOut = { ...this.tryOut, state: 'cancelled' }
    this.#end()
    this.#host.requestUpdate()
  }

  async #start(wish: number, what: NewTryOut): Promise<void> {
    this.#end()
    this.#beganMs = performance.now()
    try {
      let tryOut = await request<TryOut>('POST', '/alarms/try-outs', what)
      this.#open = tryOut.id
      while (wish === this.#wish) {
        // What was found last stays until there is something newer to see.
        if (
          tryOut.batches.some(({ untried }) => untried === null) ||
          tryOut.state === 'done' ||
          this.tryOut === null
        )
          this.stale = false
        this.tryOut = this.stale && this.tryOut ? { ...tryOut, batches: this.tryOut.batches } : tryOut
        this.failed = ''
        this.#host.requestUpdate()
        if (tryOut.state !== 'waiting' && tryOut.state !== 'running') {
          this.#open = null
          return
        }
        await new Promise(resolve => setTimeout(resolve, ASK_EVERY_MS))
        if (wish !== this.#wish) break
        tryOut = await request<TryOut>('GET', pathOf(tryOut.id))
      }
      if (this.#open !== tryOut.id) void cancel(tryOut.id)
    } catch (error) {
      if (wish !== this.#wish) return
      this.stale = false
      this.failed = error instanceof ApiError ? error.message : 'It could not be tried out.'
      this.#host.requestUpdate()
    }
  }

  #end(): void {
    if (this.#open === null) return
    void cancel(this.#open)
    this.#open = null
  }
}

const pathOf = (id: string): string => `/alarms/try-outs/${encodeURIComponent(id)}`

async function cancel(id: string): Promise<void> {
  await request('DELETE', pathOf(id)).catch(() => undefined)
}
