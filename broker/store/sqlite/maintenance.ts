import type { Source } from '../contract.ts'
import type { Asker } from './asker.ts'
import { closed } from '../refusals.ts'
import type { GroupCommit } from '../group-commit.ts'
import type { Writes } from './writes.ts'
import type { Journal } from './journal.ts'
import type { JournalTable } from './journal-tables.ts'
import type { StoreLogger } from '../logger.ts'
import { FIRST, type PackingPlan, type PackingStep } from './packing.ts'

/** After a failure, so many more packs come in before packing is tried again. */
const PACKS_BEFORE_RETRY = 1024
/** Database pages moved in one step, which takes about a millisecond. */
const PAGES_GIVEN_BACK = 64
const FREE_PAGES_KEPT = 32

/**
 * Carries out what the packer works out on its own thread: short transactions here, one job at a time, each step whole or not
 * at all. A process that ends in between loses nothing: what was not carried out is worked out again.
 */
export class Maintenance {
  readonly #commits: GroupCommit<Writes>
  readonly #journal: Journal
  readonly #asker: Asker
  readonly #logger: StoreLogger
  #last: Promise<unknown> = Promise.resolve()
  #sealing = false
  #retryAtPacks = 0
  #closed = false

  constructor(commits: GroupCommit<Writes>, journal: Journal, asker: Asker, logger: StoreLogger) {
    this.#commits = commits
    this.#journal = journal
    this.#asker = asker
    this.#logger = logger
  }

  /** To be called after each commit: packs the journal when it is time. */
  committed(): void {
    if (this.#sealing || this.#closed || !this.#journal.due || this.#journal.packs < this.#retryAtPacks)
      return
    this.#sealing = true
    this.#alone(() => this.#sealJournal())
      .then(
        () => (this.#retryAtPacks = 0),
        (error: unknown) => {
          this.#retryAtPacks = this.#journal.packs + PACKS_BEFORE_RETRY
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
    // No group may be on its way into it, or the plan would be made without that group.
    const frozen = await this.#commits.whenFree(() => this.#journal.freeze())
    if (frozen === null) return
    await this.#carryOut(await this.#asker.ask('seal', frozen), frozen)
    this.#journal.thawed()
  }

  async #steps(next: (cursor: typeof FIRST) => Promise<PackingStep>): Promise<number> {
    let dropped = 0
    for (let cursor: typeof FIRST | null = FIRST; cursor !== null;) {
      const step: PackingStep = await next(cursor)
      if (step.remove.length > 0) await this.#carryOut(step, null)
      dropped += step.dropped
      cursor = step.next
    }
    return dropped
  }

  /** Gives the disk back what the file no longer needs, but for what the next readings take at once. */
  async #giveBack(): Promise<void> {
    try {
      let left = Infinity
      for (let pages = 0; !this.#closed && left > FREE_PAGES_KEPT; pages = PAGES_GIVEN_BACK)
        left = await this.#commits.alone('give room back', 'giveBack', () => pages)
    } catch (error) {
      this.#logger.warn({ err: error }, 'room in the database file could not be given back; it is used again')
    }
  }

  async #carryOut(plan: PackingPlan, emptied: JournalTable | null): Promise<void> {
    await this.#commits.alone('pack readings', 'packing', () => {
      if (this.#closed) throw closed('pack readings')
      return { ...plan, emptied, ranges: emptied === null ? [] : this.#journal.frozenRanges() }
    })
  }

  #alone<T>(job: () => Promise<T>): Promise<T> {
    const result = this.#last.then(job, job)
    this.#last = result.catch(() => undefined)
    return result
  }
}
