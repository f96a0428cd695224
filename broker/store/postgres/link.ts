import pg from 'pg'
import { configOf, type ConnectOptions } from './sql.ts'
import type { PostgresPlace } from './place.ts'

/** After a connection could not be made, the next is tried after so long, ms, then twice as long, up to the most. */
const FIRST_PAUSE_MS = 100
const MOST_PAUSE_MS = 5000

/** One connection that is made anew when it is lost. */
export class Link {
  readonly #place: PostgresPlace
  readonly #options: ConnectOptions
  readonly #onLost: (why: Error) => void
  readonly #monotonicMs: () => number
  #client: pg.Client | null = null
  #connecting: Promise<pg.Client> | null = null
  #failed: { readonly error: Error; readonly untilMs: number } | null = null
  #pauseMs = FIRST_PAUSE_MS
  #closed = false

  constructor(
    place: PostgresPlace,
    options: ConnectOptions,
    parts: { onLost?: (why: Error) => void; monotonicMs: () => number },
  ) {
    this.#place = place
    this.#options = options
    this.#onLost = parts.onLost ?? (() => undefined)
    this.#monotonicMs = parts.monotonicMs
  }

  get isUp(): boolean {
    return this.#client !== null
  }

  /** The connection; made anew if there is none. Rejects at once while it is too early to try again. */
  client(): Promise<pg.Client> {
    if (this.#client !== null) return Promise.resolve(this.#client)
    if (this.#failed !== null && this.#monotonicMs() < this.#failed.untilMs)
      return Promise.reject(this.#failed.error)
    return (this.#connecting ??= this.#connect().finally(() => (this.#connecting = null)))
  }

  /** Ends it without a word; the next call makes another. */
  drop(): void {
    const client = this.#client
    this.#client = null
    client?.end().catch(() => undefined)
  }

  async close(): Promise<void> {
    this.#closed = true
    await this.#connecting?.catch(() => undefined)
    const client = this.#client
    this.#client = null
    await client?.end().catch(() => undefined)
  }

  async #connect(): Promise<pg.Client> {
    const client = new pg.Client(configOf(this.#place, this.#options))
    const lost = (error: Error) => {
      if (this.#client !== client) return
      this.#client = null
      this.#onLost(error)
    }
    client.on('error', lost)
    client.on('end', () => lost(new Error('the connection ended')))
    try {
      await client.connect()
    } catch (caught) {
      const error = caught instanceof Error ? caught : new Error(String(caught))
      this.#failed = { error, untilMs: this.#monotonicMs() + this.#pauseMs }
      this.#pauseMs = Math.min(MOST_PAUSE_MS, this.#pauseMs * 2)
      throw error
    }
    this.#failed = null
    this.#pauseMs = FIRST_PAUSE_MS
    if (this.#closed) {
      await client.end().catch(() => undefined)
      throw new Error('the store is closed')
    }
    this.#client = client
    return client
  }
}
