import { setImmediate } from 'node:timers/promises'
import { type Source, StoreError, StoreErrorCode } from '../contract.ts'
import type { Asker } from './asker.ts'
import type { Db } from './database.ts'
import type { GroupCommit } from './group-commit.ts'
import type { Journal } from './journal.ts'
import type { StoreLogger } from './logger.ts'
import { FIRST, type PackingPlan, type PackingStep } from './packing.ts'

/** After a failure, so many more packs come in before packing is tried again. */
const ROWS_BEFORE_RETRY = 1024
/** Database pages moved in one step, which takes about a millisecond. */
const PAGES_GIVEN_BACK = 64
const FREE_PAGES_KEPT = 32

/**
 * Carries out what the packer works out on its own thread: short transactions here, one job at a time, each step whole or not
 * at all. A process that ends in between loses nothing: what was not carried out is worked out again.
 */
export class Maintenance {
  readonly #db: Db
  readonly #commits: GroupCommit
  readonly #journal: Journal
  readonly #asker: Asker
  readonly #logger: StoreLogger
  readonly #write
  readonly #remove
  #last: Promise<unknown> = Promise.resolve()
  #sealing = false
  #retryAtRows = 0
  #closed = false

  constructor(db: Db, commits: GroupCommit, journal: Journal, asker: Asker, logger: StoreLogger) {
    this.#db = db
    this.#commits = commits
    this.#journal = journal
    this.#asker = asker
    this.#logger = logger
    this.#write = db.prepare<[number, number, number, number, Uint8Array]>(
      'INSERT INTO chunk (channel, from_ms, to_ms, count, body) VALUES (?, ?, ?, ?, ?)',
    )
    this.#remove = db.prepare<[number]>('DELETE FROM chunk WHERE id = ?')
  }

  /** To be called after each commit: packs the journal when it is time. */
  committed(): void {
    if (this.#sealing || this.#closed || !this.#journal.due || this.#journal.rows < this.#retryAtRows) return
    this.#sealing = true
    this.#alone(() => this.#sealJournal())
      .then(
        () => (this.#retryAtRows = 0),
        (error: unknown) => {
          this.#retryAtRows = this.#journal.rows + ROWS_BEFORE_RETRY
          if (!this.#closed)
            this.#logger.error({ err: error }, 'readings could not be packed; they stay in the journal')
        },
      )
      .finally(() => (this.#sealing = false))
  }

  /** Packs what is loose, then joins the device's short chunks. */
  seal(device: string): Promise<void> {
    return this.#alone(async () => {
      await this.#sealAll()
      await this.#steps(cursor => this.#asker.ask('repack', { device, cursor }))
      await this.#giveBack()
    })
  }

  /** Returns how many samples were dropped. */
  drop(beforeMs: number, keep: readonly Source[]): Promise<number> {
    return this.#alone(async () => {
      if (await this.#asker.ask('holdsLoose', beforeMs)) await this.#sealAll()
      const dropped = await this.#steps(cursor => this.#asker.ask('drop', { beforeMs, keep, cursor }))
      await this.#giveBack()
      return dropped
    })
  }

  /** Lets the step that is under way end; the rest is given up. */
  async close(): Promise<void> {
    this.#closed = true
    await this.#last.catch(() => undefined)
  }

  async #sealAll(): Promise<void> {
    // A journal may have been frozen by an attempt that failed; the other one follows it.
    await this.#sealJournal()
    await this.#sealJournal()
  }

  async #sealJournal(): Promise<void> {
    const frozen = this.#journal.freeze()
    if (frozen === null) return
    const plan = await this.#asker.ask('seal', frozen)
    this.#carryOut(plan, () => this.#journal.empty(frozen))
    this.#journal.thawed()
  }

  async #steps(next: (cursor: typeof FIRST) => Promise<PackingStep>): Promise<number> {
    let dropped = 0
    for (let cursor: typeof FIRST | null = FIRST; cursor !== null;) {
      const step: PackingStep = await next(cursor)
      if (step.remove.length > 0) this.#carryOut(step)
      dropped += step.dropped
      cursor = step.next
    }
    return dropped
  }

  /** Gives the disk back what the file no longer needs, but for what the next readings take at once. */
  async #giveBack(): Promise<void> {
    try {
      while (!this.#closed && Number(this.#db.pragma('freelist_count', { simple: true })) > FREE_PAGES_KEPT) {
        this.#db.exec(`PRAGMA incremental_vacuum(${PAGES_GIVEN_BACK})`)
        await setImmediate()
      }
    } catch (error) {
      this.#logger.warn({ err: error }, 'room in the database file could not be given back; it is used again')
    }
  }

  #carryOut(plan: PackingPlan, also?: () => void): void {
    if (this.#closed) throw new StoreError(StoreErrorCode.closed, 'Cannot pack readings: the store is closed')
    this.#commits.now('pack readings', () => {
      // What goes leaves room for what comes: so it works on a full disk too.
      also?.()
      for (const id of plan.remove) this.#remove.run(id)
      for (const { channel, fromMs, toMs, count, body } of plan.write)
        this.#write.run(channel, fromMs, toMs, count, body)
    })
  }

  #alone<T>(job: () => Promise<T>): Promise<T> {
    const result = this.#last.then(job, job)
    this.#last = result.catch(() => undefined)
    return result
  }
}
