import { existsSync, mkdirSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'better-sqlite3'
import { nameBackup } from '../backups/names.ts'
import { writeBackup } from './backup.ts'
import { BUSY_TIMEOUT_MS } from './database.ts'
import type { StoreLogger } from '../logger.ts'
import { MIGRATIONS } from './schema.ts'

/**
 * Copies a database of an earlier version before it is brought up to date, so that the brinewatch before can be gone back to.
 * Each step of the upgrade is whole or not at all by itself: where no copy can be made it goes on without, and says so.
 */
export function backUpBeforeUpgrade(
  file: string,
  backupsDir: string,
  nowMs: number,
  logger: StoreLogger,
): void {
  if (!existsSync(file)) return
  const db = new Database(file, { timeout: BUSY_TIMEOUT_MS })
  try {
    const version = Number(db.pragma('user_version', { simple: true }))
    // A new file has no version yet; one of a newer brinewatch is refused later on.
    if (version === 0 || version >= MIGRATIONS.length) return
    mkdirSync(backupsDir, { recursive: true, mode: 0o700 })
    const copy = join(backupsDir, nameBackup(nowMs, MIGRATIONS.length))
    writeBackup(db, copy)
    logger.info({ file: copy }, 'copied the data before the upgrade')
  } catch (error) {
    logger.warn({ err: error }, 'no copy could be made before the upgrade; going on without')
  } finally {
    db.close()
  }
}
