import type { Records } from '../records.ts'
import { accessRecords } from './access-records.ts'
import { roomRecords } from './room-records.ts'
import type { Sql } from './sql.ts'

/** All that is read beside readings, each over a connection that is free. */
export function openRecords(sql: Sql): Records {
  return { ...roomRecords(sql), ...accessRecords(sql) }
}
