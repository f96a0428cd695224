import type { Outcome } from './outcome.ts'
import type { WorkOf, WriteTable } from './writes.ts'

/** The one place that writes, a group at a time. */
export interface GroupWriter<W extends WriteTable<W>> {
  /** Whether others can go on while a group is written. */
  readonly overlaps: boolean
  /** Begins a group, the one before having ended. `ended` is called once, before this returns if nothing overlaps. */
  write(doing: string, works: readonly WorkOf<W>[], ended: (outcome: Outcome) => void): void
  /** Tells at once of a group that has ended meanwhile, instead of with the event loop's next turn. */
  poll(): void
}
