import type { Db } from './database.ts'
import type { Work } from './writes.ts'

/** Works that put a row with a number of their own into the file: numbers are given once, so a row that is there is theirs. */
const TABLES = { speaker: 'speaker', channel: 'channel', boot: 'boot' } as const

/** Whether by the file it can be told that this work was done. */
export function proves(work: Work): boolean {
  return rowOf(work) !== null
}

/**
 * Whether a group whose writer did not say so is on disk: all of it or nothing is. Readings always can be told. A group of
 * upserts alone cannot, and counts as not written: memory holds nothing that hangs on it, and whoever asked may ask again.
 */
export function isOnDisk(db: Db, works: readonly Work[]): boolean {
  for (const work of works) {
    const row = rowOf(work)
    if (row === null) continue
    return db.prepare(`SELECT 1 FROM ${row.table} WHERE id = ?`).get(row.id) !== undefined
  }
  return false
}

function rowOf({ kind, what }: Work): { readonly table: string; readonly id: number } | null {
  switch (kind) {
    case 'frame':
      return { table: what.table, id: what.id }
    case 'speaker':
    case 'channel':
    case 'boot':
      return { table: TABLES[kind], id: what.id }
    default:
      return null
  }
}
