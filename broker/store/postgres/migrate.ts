import type pg from 'pg'
import { StoreError, StoreErrorCode } from '../contract.ts'
import { Lock, lockArgs } from './locks.ts'
import { MIGRATIONS } from './schema.ts'
import { inTransaction, type Sql } from './sql.ts'

/** PostgreSQL 14 is the first that keeps sets of ranges. */
const LEAST_SERVER = 140_000

/** Refuses a server on which what is acknowledged could be lost, or that is too old. */
export async function checkServer(client: pg.ClientBase): Promise<void> {
  const { rows } = await client.query<{ version: string; fsync: string; pages: string }>(
    `SELECT current_setting('server_version_num') AS version, current_setting('fsync') AS fsync,
       current_setting('full_page_writes') AS pages`,
  )
  const { version, fsync, pages } = rows[0]!
  if (Number(version) < LEAST_SERVER)
    throw new StoreError(
      StoreErrorCode.failed,
      `Cannot use this PostgreSQL: it must be version 14 or newer, got ${Math.floor(Number(version) / 10_000)}`,
    )
  if (fsync !== 'on' || pages !== 'on')
    throw new StoreError(
      StoreErrorCode.failed,
      `Cannot use this PostgreSQL: what it acknowledges must be on its disk, got fsync ${fsync}, ` +
        `full_page_writes ${pages}; set both on`,
    )
}

/** Makes the schema if it is missing, and brings it up to date. Several processes may do so at once. */
export async function migrate(
  client: pg.ClientBase,
  schema: string,
  migrations: readonly string[] = MIGRATIONS,
): Promise<void> {
  if ((await versionOf(client, schema)) === migrations.length) return
  await inTransaction(client, 'BEGIN', async sql => {
    await sql.rows(`SELECT pg_advisory_xact_lock(${lockArgs(schema, Lock.schema)})`)
    await begin(sql, client, schema)
    const version = await versionOf(client, schema)
    refuseNewer(version, migrations.length)
    for (const step of migrations.slice(version)) await client.query(step)
    await client.query(`UPDATE ${schema}.meta SET version = ${migrations.length}`)
  })
}

/** The schema must be of this version. */
export async function needVersion(client: pg.ClientBase, schema: string): Promise<void> {
  const version = await versionOf(client, schema)
  refuseNewer(version, MIGRATIONS.length)
  if (version === MIGRATIONS.length) return
  throw new StoreError(
    StoreErrorCode.readOnly,
    `Cannot read the database: its schema must be version ${MIGRATIONS.length}, got ${version}; start the service once`,
  )
}

async function begin(sql: Sql, client: pg.ClientBase, schema: string): Promise<void> {
  const there = await sql.rows('SELECT 1 FROM pg_namespace WHERE nspname = $1', [schema])
  // Where it is there already, nobody need have the right to make one.
  if (there.length === 0) await client.query(`CREATE SCHEMA ${schema}`)
  await client.query(`CREATE TABLE IF NOT EXISTS ${schema}.meta (version integer NOT NULL)`)
  await client.query(
    `INSERT INTO ${schema}.meta (version) SELECT 0 WHERE NOT EXISTS (SELECT 1 FROM ${schema}.meta)`,
  )
}

async function versionOf(client: pg.ClientBase, schema: string): Promise<number> {
  const { rows } = await client.query<{ there: boolean }>(
    `SELECT to_regclass('${schema}.meta') IS NOT NULL AS there`,
  )
  if (!rows[0]?.there) return 0
  const version = await client.query<{ version: number }>(`SELECT version FROM ${schema}.meta`)
  return version.rows[0]?.version ?? 0
}

function refuseNewer(version: number, known: number): void {
  if (version <= known) return
  throw new StoreError(
    StoreErrorCode.newer,
    `Cannot open the database: its schema must be version ${known} or older, got ${version}; ` +
      `it was written by a newer brinewatch, so run that one, or restore a dump made before`,
  )
}
