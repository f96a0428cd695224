import { Link } from './link.ts'
import { lockArgs } from './locks.ts'
import type { PostgresPlace } from './place.ts'

/** The connection that holds a lock answers so fast or counts as lost, ms: sooner than the server gives the lock to another. */
const ANSWER_MS = 4000
/** After the connection was lost, the lock is asked for again so often, ms. */
const AGAIN_MS = 1000

/** A lock that is held as long as this process lives, and asked for again when its connection was lost. */
export class Holding {
  readonly #link: Link
  readonly #args: string
  #isHeld = false
  #again: NodeJS.Timeout | null = null
  #closed = false

  constructor(place: PostgresPlace, lock: number, monotonicMs: () => number) {
    this.#args = lockArgs(place.schema, lock)
    const lost = (): void => {
      this.#isHeld = false
      this.#askAgain()
    }
    this.#link = new Link(place, { name: 'holding', answerMs: ANSWER_MS }, { monotonicMs, onLost: lost })
  }

  get isHeld(): boolean {
    return this.#isHeld
  }

  /** Whether it is held now. Rejects where the database cannot be reached. */
  async take(): Promise<boolean> {
    const client = await this.#link.client()
    const { rows } = await client.query<{ got: boolean }>(`SELECT pg_try_advisory_lock(${this.#args}) AS got`)
    this.#isHeld = rows[0]?.got ?? false
    return this.#isHeld
  }

  async close(): Promise<void> {
    this.#closed = true
    this.#isHeld = false
    if (this.#again !== null) clearTimeout(this.#again)
    await this.#link.close()
  }

  #askAgain(): void {
    if (this.#closed || this.#again !== null) return
    this.#again = setTimeout(() => {
      this.#again = null
      this.take().then(
        got => !got && this.#askAgain(),
        () => this.#askAgain(),
      )
    }, AGAIN_MS)
    this.#again.unref()
  }
}
