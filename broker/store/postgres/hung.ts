import { Lock } from './locks.ts'
import type { Sql } from './sql.ts'

/**
 * A worker whose own connections have asked nothing for so long hangs, s: a living one asks for its seats twice a second, and a leader for
 * what is to be judged, or whether it still leads, every other second.
 */
export const HUNG_S = 15

/**
 * Ends the connections of workers of this room that hold the lead or seats and have stood still: a process that is stopped, or that swaps,
 * keeps its connection and with it its locks, and nobody would be called. What it still does when it wakes is refused, as for any
 * earlier leader. Returns the names of the connections that were ended.
 *
 * The server shows when a connection last began or ended a statement (`state_change`, PostgreSQL documentation, "The Statistics
 * Collector", `pg_stat_activity`); a role may end its own connections.
 */
export async function endHung(sql: Sql, schema: string, hungS: number): Promise<string[]> {
  const ended = await sql.rows<{ name: string }>(
    `SELECT application_name AS name, pg_terminate_backend(pid) FROM pg_stat_activity
     WHERE pid <> pg_backend_pid() AND state_change < clock_timestamp() - $1::float8 * interval '1 second' AND pid IN (
       SELECT pid FROM pg_locks
       WHERE locktype = 'advisory' AND granted AND objsubid = 2 AND objid IN (${Lock.lead}, ${Lock.presence})
         AND classid::bigint = (hashtext('brinewatch ${schema}')::bigint & 4294967295)
         AND database = (SELECT oid FROM pg_database WHERE datname = current_database()))`,
    [hungS],
  )
  return ended.map(({ name }) => name)
}
