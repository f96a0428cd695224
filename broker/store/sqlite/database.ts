import Database from 'better-sqlite3'
import { StoreError, StoreErrorCode } from '../contract.ts'
import { MIGRATIONS } from './schema.ts'

export type Db = Database.Database

/** The database's file in the data directory. */
export const DATABASE_FILE = 'brinewatch.db'

/** How long a statement of a tool waits for the service, or of a reader for either. */
export const BUSY_TIMEOUT_MS = 3000
/**
 * How long the service's event loop waits for a tool, which holds the file for single small commits only. Everything in the
 * service waits meanwhile, alarms too.
 */
export const SERVICE_BUSY_TIMEOUT_MS = 200
/**
 * The writing thread waits longer: nobody is held up but those whose readings are to be kept, and for them it is better than
 * being turned away. What could not be kept even so is rejected, and its device sends it again.
 */
export const WRITER_BUSY_TIMEOUT_MS = 4000
/** Pages in the log before they are moved into the database: 4 MiB. */
const WAL_PAGES = 1000
/** The log file is cut back to this once it was longer. */
const WAL_KEPT_BYTES = 16 * 1024 * 1024
const SYNCHRONOUS_FULL = 2
/** Memory for pages, each connection, in KiB: a chart reads each page once, so more would hardly help. */
const CACHE_KIB = 4096

/** Opens the file for reading and writing, and brings its schema up to date. */
export function openDatabase(file: string, busyTimeoutMs = BUSY_TIMEOUT_MS): Db {
  const db = new Database(file, { timeout: BUSY_TIMEOUT_MS })
  try {
    // Works before the first table only: lets the file give back what packing and dropping free, step by step.
    db.pragma('auto_vacuum = INCREMENTAL')
    const mode = db.pragma('journal_mode = WAL', { simple: true })
    // SQLite goes down to NORMAL by itself in WAL mode, and then a power cut loses what was acknowledged.
    db.pragma('synchronous = FULL')
    const synchronous = db.pragma('synchronous', { simple: true })
    if (mode !== 'wal' || synchronous !== SYNCHRONOUS_FULL) {
      throw new StoreError(
        StoreErrorCode.failed,
        `Cannot open the database: its disk must support a write-ahead log with full synchronisation, ` +
          `got journal mode ${String(mode)}, synchronous ${String(synchronous)}; use a local disk`,
      )
    }
    db.pragma(`wal_autocheckpoint = ${WAL_PAGES}`)
    db.pragma(`journal_size_limit = ${WAL_KEPT_BYTES}`)
    db.pragma('foreign_keys = ON')
    db.pragma(`cache_size = -${CACHE_KIB}`)
    migrate(db)
    db.pragma(`busy_timeout = ${busyTimeoutMs}`)
    return db
  } catch (error) {
    db.close()
    throw error
  }
}

/** Opens the file for reading alone; its schema must be of this version. */
export function openForReading(file: string): Db {
  const db = new Database(file, { readonly: true, fileMustExist: true, timeout: BUSY_TIMEOUT_MS })
  try {
    db.pragma(`cache_size = -${CACHE_KIB}`)
    const version = versionOf(db)
    refuseNewer(version)
    if (version < MIGRATIONS.length) {
      throw new StoreError(
        StoreErrorCode.readOnly,
        `Cannot read the database: its schema must be version ${MIGRATIONS.length}, got ${version}; start the service once`,
      )
    }
    return db
  } catch (error) {
    db.close()
    throw error
  }
}

/** Runs the steps that the file has not seen, each in a transaction of its own. */
export function migrate(db: Db, migrations: readonly string[] = MIGRATIONS): void {
  refuseNewer(versionOf(db), migrations.length)
  for (let version = versionOf(db); version < migrations.length; version++) {
    db.transaction(() => {
      // Another process may have done the step while this one waited for the lock.
      if (versionOf(db) !== version) return
      db.exec(migrations[version]!)
      db.pragma(`user_version = ${version + 1}`)
    }).immediate()
  }
}

function versionOf(db: Db): number {
  return Number(db.pragma('user_version', { simple: true }))
}

function refuseNewer(version: number, known: number = MIGRATIONS.length): void {
  if (version <= known) return
  throw new StoreError(
    StoreErrorCode.newer,
    `Cannot open the database: its schema must be version ${known} or older, got ${version}; ` +
      `it was written by a newer brinewatch, so run that one, or restore a backup made before`,
  )
}
