/**
 * A place in the order in which packs are judged: by the transaction that wrote them, then by their own number. Numbers alone would
 * not do: of two transactions that write at once, the one with the lower numbers may be committed last.
 */
export interface Position {
  /** A transaction's number, in decimal: it may pass 2^53. */
  readonly tx: string
  readonly id: number
}

/** Before every pack. */
export const BEGINNING: Position = { tx: '0', id: 0 }

/** SQL for "this pack comes after the position"; never so where no position is given. */
export function beyond(tx: string, id: string): string {
  return `coalesce((pack.tx, pack.id) > (${tx}::xid8, ${id}::bigint), false)`
}
