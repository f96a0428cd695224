import type { StoreLogger } from '../../../broker/store/logger.ts'
import { openPostgresStore, type OpenPostgresOptions } from '../../../broker/store/postgres/open.ts'
import { readPlace } from '../../../broker/store/postgres/place.ts'
import { PgAccess, type PostgresStore } from '../../../broker/store/postgres/postgres-store.ts'
import type { Place } from '../conformance.ts'
import type { Cluster } from './cluster.ts'

export interface PostgresTestPlace extends Place {
  readonly url: string
  readonly schema: string
  open(nowMs?: () => number, more?: Partial<OpenPostgresOptions>): Promise<PostgresStore>
}

let made = 0
/** Emptied ones: to make a schema anew takes ten times as long. */
const free = new Map<Cluster, string[]>()

/** A schema of its own. */
export async function postgresPlace(cluster: Cluster, logger?: StoreLogger): Promise<PostgresTestPlace> {
  const schema = free.get(cluster)?.pop() ?? `room${++made}`
  const url = `${cluster.url()}?schema=${schema}`
  return {
    url,
    schema,
    open: (nowMs, more) =>
      openPostgresStore({
        place: readPlace(url),
        access: PgAccess.service,
        ...(nowMs && { clock: nowMs }),
        ...(logger && { logger }),
        ...more,
      }),
    fill: async () => fillPostgres(cluster, schema),
    async dispose() {
      const tables = await tablesOf(cluster, schema)
      await cluster.sql(
        [...tables.filter(name => name !== 'meta' && name !== 'lead'), 'channel', 'boot', 'speaker']
          .map(name => `DELETE FROM ${schema}.${name}`)
          .filter((words, at, all) => all.lastIndexOf(words) === at)
          .join(';'),
      )
      free.set(cluster, [...(free.get(cluster) ?? []), schema])
    },
  }
}

async function tablesOf(cluster: Cluster, schema: string): Promise<string[]> {
  const rows = await cluster.sql(`SELECT tablename AS name FROM pg_tables WHERE schemaname = '${schema}'`)
  return rows.map(({ name }) => name)
}

/** The server says what it says when its disk is full to whatever would add a row; the returned function is called without a wait. */
async function fillPostgres(cluster: Cluster, schema: string): Promise<() => Promise<void>> {
  const tables = await tablesOf(cluster, schema)
  const each = (words: (table: string) => string) => tables.map(name => words(`${schema}.${name}`)).join(';')
  await cluster.sql(
    `CREATE OR REPLACE FUNCTION ${schema}.full_disk() RETURNS trigger LANGUAGE plpgsql AS
       $$ BEGIN RAISE EXCEPTION 'could not extend file: No space left on device' USING ERRCODE = 'disk_full'; END $$;
     ${each(table => `CREATE TRIGGER full_disk BEFORE INSERT ON ${table} EXECUTE FUNCTION ${schema}.full_disk()`)}`,
  )
  return async () => {
    await cluster.sql(each(table => `DROP TRIGGER full_disk ON ${table}`))
  }
}
