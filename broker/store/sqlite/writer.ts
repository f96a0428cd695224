import type { Db } from './database.ts'
import type { Outcome } from '../outcome.ts'
import type { GroupWriter } from '../writer.ts'
import { Transactions } from './transactions.ts'
import type { Work, Writes } from './writes.ts'

/** Writes to the file. */
export interface Writer extends GroupWriter<Writes> {
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
