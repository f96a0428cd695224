import pg from 'pg'
import type { PostgresPlace } from './place.ts'
import { configOf, inTransaction, type Sql, sqlOver } from './sql.ts'

/** Connections for questions; so many may be asked at once, the rest waits. */
const MOST = 4
/** A question may take so long, ms. */
const ANSWER_MS = 60_000
/** A connection that is not used so long is closed, ms. */
const IDLE_MS = 30_000

const SNAPSHOT = 'BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY'

/** Connections that come and go as questions are asked. */
export class Pools {
  readonly #pool: pg.Pool

  constructor(place: PostgresPlace, readOnly: boolean) {
    this.#pool = new pg.Pool({
      ...configOf(place, { name: 'asking', readOnly, answerMs: ANSWER_MS }),
      max: MOST,
      idleTimeoutMillis: IDLE_MS,
      allowExitOnIdle: true,
    })
    // One that was idle and is lost: the next question takes another.
    this.#pool.on('error', () => undefined)
  }

  /** Each statement over whatever connection is free. */
  get sql(): Sql {
    return sqlOver(this.#pool)
  }

  /** All statements see one moment. */
  atOnce<T>(work: (sql: Sql) => Promise<T>): Promise<T> {
    return this.#with(client => inTransaction(client, SNAPSHOT, work))
  }

  /** For what is written apart from the groups. */
  writing<T>(work: (sql: Sql) => Promise<T>): Promise<T> {
    return this.#with(client => inTransaction(client, 'BEGIN', work))
  }

  close(): Promise<void> {
    return this.#pool.end()
  }

  async #with<T>(work: (client: pg.ClientBase) => Promise<T>): Promise<T> {
    const client = await this.#pool.connect()
    let failed: Error | undefined
    try {
      return await work(client)
    } catch (error) {
      failed = error as Error
      throw error
    } finally {
      // One that failed in the middle is not used again.
      client.release(failed !== undefined && !('severity' in failed))
    }
  }
}
