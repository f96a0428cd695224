import type { LiveMessage } from '../../broker/web/api/live.ts'
import { retryDelayMs } from './backoff.ts'

export interface FeedHandlers {
  /** The change to resume after; `null` asks for a snapshot. */
  readonly cursor: () => string | null
  readonly message: (message: LiveMessage) => void
  readonly lost: () => void
  /** Asked after a refused or broken connection: whether it broke for want of a sign-in. */
  readonly mayConnect: () => Promise<boolean>
}

/** A feed that says nothing at all for so long is taken for dead: the network may have gone without a word. */
const SILENCE_MS = 45_000

/** The live feed: one WebSocket that comes back by itself and carries on where it broke off. */
export class Feed {
  #socket: WebSocket | null = null
  #attempt = 0
  #timer: ReturnType<typeof setTimeout> | undefined
  #watchdog: ReturnType<typeof setTimeout> | undefined
  #stopped = true
  readonly #handlers: FeedHandlers

  constructor(handlers: FeedHandlers) {
    this.#handlers = handlers
  }

  start(): void {
    if (!this.#stopped) return
    this.#stopped = false
    addEventListener('online', this.#hurry)
    document.addEventListener('visibilitychange', this.#hurry)
    this.#open()
  }

  stop(): void {
    this.#stopped = true
    removeEventListener('online', this.#hurry)
    document.removeEventListener('visibilitychange', this.#hurry)
    clearTimeout(this.#timer)
    clearTimeout(this.#watchdog)
    this.#socket?.close()
    this.#socket = null
  }

  #open(): void {
    clearTimeout(this.#timer)
    const url = new URL('/api/v1/live', location.href)
    url.protocol = url.protocol === 'https:' ? 'wss:' : 'ws:'
    const cursor = this.#handlers.cursor()
    if (cursor !== null) url.searchParams.set('since', cursor)
    const socket = new WebSocket(url)
    this.#socket = socket
    this.#watch(socket)
    socket.onmessage = event => {
      this.#watch(socket)
      const message = read(event.data)
      if (!message) return
      this.#attempt = 0
      this.#handlers.message(message)
    }
    socket.onclose = () => {
      if (this.#socket === socket) this.#broken()
    }
  }

  #watch(socket: WebSocket): void {
    clearTimeout(this.#watchdog)
    this.#watchdog = setTimeout(() => {
      // A close() on a dead line may wait for minutes, so the socket is given up at once.
      socket.onclose = null
      socket.close()
      if (this.#socket === socket) this.#broken()
    }, SILENCE_MS)
  }

  #broken(): void {
    clearTimeout(this.#watchdog)
    this.#socket = null
    if (this.#stopped) return
    this.#handlers.lost()
    const delayMs = retryDelayMs(this.#attempt++, Math.random())
    this.#timer = setTimeout(() => void this.#again(), delayMs)
  }

  async #again(): Promise<void> {
    if ((await this.#handlers.mayConnect()) && !this.#stopped && !this.#socket) this.#open()
  }

  /** The machine woke up or found a network: no reason to wait any longer. */
  readonly #hurry = (): void => {
    if (this.#stopped || this.#socket || document.hidden) return
    this.#attempt = 0
    clearTimeout(this.#timer)
    void this.#again()
  }
}

function read(data: unknown): LiveMessage | null {
  if (typeof data !== 'string') return null
  try {
    const message = JSON.parse(data) as LiveMessage
    return message.type === 'snapshot' || message.type === 'changes' ? message : null
  } catch {
    return null
  }
}
