import { StoreError } from '../contract.ts'
import type { Failure, Outcome } from '../outcome.ts'
import type { Db } from './database.ts'
import { toStoreError } from './errors.ts'
import { openWrites, type Work } from './writes.ts'

/** Does groups of work, each in one transaction, on the one connection that writes. */
export class Transactions {
  readonly #db: Db
  readonly #do
  readonly #begin
  readonly #commit
  readonly #rollback

  constructor(db: Db) {
    this.#db = db
    this.#do = openWrites(db)
    this.#begin = db.prepare('BEGIN IMMEDIATE')
    this.#commit = db.prepare('COMMIT')
    this.#rollback = db.prepare('ROLLBACK')
  }

  /**
   * A StoreError thrown by a piece of work, before it wrote, is its own refusal; any other failure, and a failure to commit,
   * takes the whole group back. Never throws.
   */
  run(doing: string, works: readonly Work[]): Outcome {
    const answers: unknown[] = []
    const refused: (Failure & { index: number })[] = []
    try {
      this.#begin.run()
      for (let index = 0; index < works.length; index++) {
        try {
          answers.push(this.#do(works[index]!))
        } catch (error) {
          if (!(error instanceof StoreError)) throw error
          answers.push(undefined)
          refused.push({ index, code: error.code, message: error.message })
        }
      }
      this.#commit.run()
      return { failure: null, answers, refused }
    } catch (error) {
      this.#takeBack()
      const { code, message } = toStoreError(doing, error)
      return { failure: { code, message }, answers: [], refused: [] }
    }
  }

  /** The file may grow to so many bytes and no further. */
  limitBytes(bytes: number): void {
    const pageBytes = Number(this.#db.pragma('page_size', { simple: true }))
    this.#db.pragma(`max_page_count = ${Math.max(1, Math.min(Math.floor(bytes / pageBytes), 0xfffffffe))}`)
  }

  #takeBack(): void {
    try {
      // After some failures, a full disk among them, SQLite has ended the transaction by itself.
      if (this.#db.inTransaction) this.#rollback.run()
    } catch {
      // The disk fails altogether: the first failure is the one to tell of, and the next BEGIN will fail too.
    }
  }
}
