/**
 * Advisory locks, all of one number made from the schema's name, so that two rooms in one database do not meet. They go with the
 * connection that holds them, however it ends.
 */
export const Lock = {
  /** Held by the one process that judges and serves people. */
  lead: 1,
  /** Held by whoever writes packs, together, and by whoever moves them into chunks, alone. */
  packs: 2,
  /** Held while the schema is brought up to date. */
  schema: 3,
  /** Held by each group of the leader, together, and for a moment by the next leader, alone. */
  fence: 4,
  /** Held by every worker that may take seats, together: so they are counted. */
  presence: 5,
  /** From here on one for each seat at the broker: see `crew/carrier.ts`. */
  seats: 100,
} as const

/** The pair of numbers of a lock, as SQL. */
export function lockArgs(schema: string, lock: number): string {
  return `hashtext('brinewatch ${schema}'), ${lock}`
}
