import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import type { Clock } from '../../clock.ts'
import { InlineAsker, ThreadAsker } from './asker.ts'
import { DATABASE_FILE, openDatabase, openForReading, SERVICE_BUSY_TIMEOUT_MS } from './database.ts'
import { toStoreError } from './errors.ts'
import { SILENT, type StoreLogger } from '../logger.ts'
import { rescueDatabase } from './rescue.ts'
import { takeServiceLock } from './service-lock.ts'
import { SqliteStore } from './sqlite-store.ts'
import { Access } from './store-parts.ts'
import { backUpBeforeUpgrade } from './upgrade-backup.ts'
import { ThreadWriter } from './thread-writer.ts'
import { InlineWriter } from './writer.ts'

export interface OpenOptions {
  /** The data directory; made, readable by its owner alone, if it does not exist. */
  readonly dir: string
  /** Without one, ended alarms are not dropped by age. */
  readonly clock?: Clock
  /** Every `keep…` rejects with code `read-only`. The database must exist. */
  readonly readOnly?: boolean
  /**
   * True, the default but for `readOnly`, for the service: a second one on the same directory is refused with code `in-use`.
   * False for a tool that works beside it: then readings can be read, but not kept, packed or dropped.
   */
  readonly exclusive?: boolean
  readonly logger?: StoreLogger
  /** False reads and writes on the caller's thread: for a short command. True by default. */
  readonly threads?: boolean
  /**
   * For the service: where the automatic backups lie. A damaged database is replaced by the newest sound one of them, see
   * `rescue.ts`, and one of an earlier version is copied there before it is brought up to date. `null`: nowhere.
   */
  readonly backupsDir?: string | null
  /** How long readings may gather before they are committed and so acknowledged, ms; 0, the default, not beyond the turn. */
  readonly gatherMs?: number
  /** The database may grow to so many bytes; then keeping rejects with code `full`. Unlimited by default. */
  readonly maxBytes?: number
}

/** Opens the store in a data directory. Rejects with a StoreError; nothing is left open or locked then. */
export async function openStore(options: OpenOptions): Promise<SqliteStore> {
  const { dir, clock = null, readOnly = false, logger = SILENT, threads = true } = options
  const { backupsDir = null } = options
  const nowMs = clock?.() ?? 0
  const exclusive = options.exclusive ?? !readOnly
  const access = readOnly ? Access.reading : exclusive ? Access.service : Access.tool
  const file = join(dir, DATABASE_FILE)
  let unlock = () => undefined as void
  try {
    if (!readOnly) mkdirSync(dir, { recursive: true, mode: 0o700 })
    if (exclusive) unlock = takeServiceLock(dir)
    const rescue = exclusive ? rescueDatabase(dir, backupsDir, nowMs) : null
    if (exclusive && backupsDir !== null) backUpBeforeUpgrade(file, backupsDir, nowMs, logger)
    const db = readOnly
      ? openForReading(file)
      : openDatabase(file, exclusive ? SERVICE_BUSY_TIMEOUT_MS : undefined)
    try {
      const asker = () => (threads ? new ThreadAsker(file) : new InlineAsker(file))
      // From here on the service's connection here only reads.
      const writer = threads && exclusive ? new ThreadWriter(file, db, logger) : new InlineWriter(db)
      const parts = {
        rescue,
        gatherMs: options.gatherMs ?? 0,
        db,
        writer,
        access,
        reading: asker(),
        packing: asker(),
        logger,
        clock,
        unlock,
      }
      const store = new SqliteStore(parts)
      if (options.maxBytes !== undefined) store.limitBytes(options.maxBytes)
      return store
    } catch (error) {
      db.close()
      throw error
    }
  } catch (error) {
    unlock()
    throw toStoreError(`open the store in ${dir}`, error)
  }
}
