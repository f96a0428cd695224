import type { Clock } from '../clock.ts'
import type { StoreLogger } from './logger.ts'
import { openPostgresStore } from './postgres/open.ts'
import { type PasswordSources, type PostgresPlace, readPlace } from './postgres/place.ts'
import type { PgAccess, PostgresStore } from './postgres/postgres-store.ts'
import { openStore } from './sqlite/open.ts'
import type { SqliteStore } from './sqlite/sqlite-store.ts'

/** Where a store is: a directory with a file, or a PostgreSQL database. Plain data, so that a thread can be given it. */
export type StorePlace = { readonly dir: string } | PostgresPlace

export type OpenedStore = SqliteStore | PostgresStore

export interface OpenAtOptions {
  readonly access: PgAccess
  /** Without one, ended alarms are not dropped by age. */
  readonly clock?: Clock
  readonly logger?: StoreLogger
  /** Of a file: false reads and writes on the caller's thread, for a short command. True by default. */
  readonly threads?: boolean
  /** Of a file: see `OpenOptions`. A database's own tools make copies of it. */
  readonly backupsDir?: string | null
  readonly gatherMs?: number
}

/** The place that the flags name: the database where one is given, else the directory. @throws StoreError for an address that is none. */
export function placeOf(dataDir: string, storeUrl: string | null, env: PasswordSources): StorePlace {
  return storeUrl === null ? { dir: dataDir } : readPlace(storeUrl, env)
}

export function isDatabase(place: StorePlace): place is PostgresPlace {
  return 'url' in place
}

/** Opens the store of a place. Rejects with a StoreError; nothing is left open or locked then. */
export async function openStoreAt(place: StorePlace, options: OpenAtOptions): Promise<OpenedStore> {
  const { access, clock, logger, gatherMs } = options
  const common = {
    ...(clock && { clock }),
    ...(logger && { logger }),
    ...(gatherMs !== undefined && { gatherMs }),
  }
  if (isDatabase(place)) return openPostgresStore({ place, access, ...common })
  return openStore({
    dir: place.dir,
    readOnly: access === 'reading',
    exclusive: access === 'service' || access === 'worker',
    threads: options.threads ?? true,
    backupsDir: options.backupsDir ?? null,
    ...common,
  })
}
