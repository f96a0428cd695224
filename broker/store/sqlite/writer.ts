import type { Db } from './database.ts'
import { type Outcome, Transactions } from './transactions.ts'
import type { Work } from './writes.ts'

/** The one place that writes to the file, a group at a time. */
export interface Writer {
  /** Whether others can go on while a group is written. */
  readonly overlaps: boolean
  /** Begins a group, the one before having ended. `ended` is called once, before this returns if nothing overlaps. */
  write(doing: string, works: readonly Work[], ended: (outcome: Outcome) => void): void
  /** Tells at once of a group that has ended meanwhile, instead of with the event loop's next turn. */
  poll(): void
  limitBytes(bytes: number): void
  /** False when it dies as often as it is started: then nothing can be kept. */
  readonly lives: boolean
  /** Ends it; nothing may be under way. */
  close(): Promise<void>
}

/** On the caller's own thread, which waits for the disk: for a short command. */
export class InlineWriter implements Writer {
  readonly overlaps = false
  readonly lives = true
  readonly #transactions: Transactions

  constructor(db: Db) {
    this.#transactions = new Transactions(db)
  }

  write(doing: string, works: readonly Work[], ended: (outcome: Outcome) => void): void {
    ended(this.#transactions.run(doing, works))
  }

  poll(): void {}

  limitBytes(bytes: number): void {
    this.#transactions.limitBytes(bytes)
  }

  async close(): Promise<void> {}
}
