import { StoreError } from '../contract.ts'
import type { Db } from './database.ts'
import { toStoreError } from './errors.ts'

interface Waiting {
  /** Absent for what only waits for all before it. */
  readonly work: (() => void) | null
  readonly resolve: () => void
  readonly reject: (error: StoreError) => void
}

/**
 * Writes all that is kept in one turn of the event loop in one transaction at the turn's end: under load the groups grow
 * by themselves, and a lone write does not wait. The queue holds one turn's work at most.
 */
export class GroupCommit {
  readonly #db: Db
  readonly #begin
  readonly #commit
  readonly #rollback
  #waiting: Waiting[] = []
  #writes = 0
  #scheduled: NodeJS.Immediate | null = null
  #undo: (() => void)[] = []
  readonly #onCommit: () => void

  /** `onCommit` is called after each group that is on disk. */
  constructor(db: Db, onCommit: () => void) {
    this.#db = db
    this.#onCommit = onCommit
    this.#begin = db.prepare('BEGIN IMMEDIATE')
    this.#commit = db.prepare('COMMIT')
    this.#rollback = db.prepare('ROLLBACK')
  }

  /**
   * Resolves once the work is on disk; calls resolve in their order. A StoreError thrown by the work, before it wrote, is its own
   * refusal; any other failure, and a failure to commit, takes the whole group back and rejects all of it.
   */
  keep(work: () => void): Promise<void> {
    this.#writes++
    return this.#wait(work)
  }

  /** Resolves once all that was kept before is on disk, and rejects when that could not be kept. */
  settled(): Promise<void> {
    return this.#waiting.length === 0 ? Promise.resolve() : this.#wait(null)
  }

  /** For work that changes memory too: how to take that back if the group fails. */
  onFailure(undo: () => void): void {
    this.#undo.push(undo)
  }

  /** Runs the work in a transaction of its own, now. Throws a StoreError, with everything taken back. */
  now<T>(doing: string, work: () => T): T {
    try {
      this.#begin.run()
      const result = work()
      this.#commit.run()
      this.#undo = []
      return result
    } catch (error) {
      this.#takeBack()
      throw toStoreError(doing, error)
    }
  }

  /** Commits what waits without waiting for the turn's end. */
  flush(): void {
    if (this.#scheduled !== null) clearImmediate(this.#scheduled)
    this.#scheduled = null
    const group = this.#waiting
    if (group.length === 0) return
    this.#waiting = []
    const refused = new Map<Waiting, StoreError>()
    try {
      if (this.#writes > 0) this.now('keep what came in', () => this.#run(group, refused))
    } catch (error) {
      for (const { reject } of group) reject(error as StoreError)
      return
    } finally {
      this.#writes = 0
    }
    for (const one of group) {
      const refusal = refused.get(one)
      if (refusal === undefined) one.resolve()
      else one.reject(refusal)
    }
    this.#onCommit()
  }

  #wait(work: (() => void) | null): Promise<void> {
    this.#scheduled ??= setImmediate(() => this.flush())
    return new Promise((resolve, reject) => this.#waiting.push({ work, resolve, reject }))
  }

  #run(group: readonly Waiting[], refused: Map<Waiting, StoreError>): void {
    for (const one of group) {
      try {
        one.work?.()
      } catch (error) {
        if (!(error instanceof StoreError)) throw error
        refused.set(one, error)
      }
    }
  }

  #takeBack(): void {
    try {
      // After some failures, a full disk among them, SQLite has ended the transaction by itself.
      if (this.#db.inTransaction) this.#rollback.run()
    } catch {
      // The disk fails altogether: the first failure is the one to tell of, and the next BEGIN will fail too.
    }
    const undo = this.#undo
    this.#undo = []
    for (let i = undo.length - 1; i >= 0; i--) undo[i]!()
  }
}
