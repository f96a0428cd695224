import type { RecordWrites, WriteTable } from '../writes.ts'
import { accessWrites } from './access-writes.ts'
import { roomWrites } from './room-writes.ts'
import type { Sql } from './sql.ts'

/**
 * How each kind of work is done. One that answers nothing may answer words instead, which are carried out once at the end of the group:
 * what makes room for what was added. A StoreError that is thrown means that nothing was written.
 */
export type WritersOf<W extends WriteTable<W>> = {
  readonly [K in keyof W]: (
    sql: Sql,
    what: W[K]['what'],
  ) => Promise<W[K]['answer'] extends boolean ? boolean : string | void>
}

export const recordWrites: WritersOf<RecordWrites> = { ...roomWrites, ...accessWrites }
