import { join } from 'node:path'
import Database from 'better-sqlite3'
import { StoreError, StoreErrorCode } from '../contract.ts'

const LOCK_FILE = 'service.lock'

/**
 * Makes this process the only service of a data directory, until the returned function is called or the process ends,
 * however it ends: an open exclusive transaction on a small file of its own is a lock of the operating system.
 * Throws a StoreError with code `in-use` when another service has it.
 */
export function takeServiceLock(dir: string): () => void {
  const db = new Database(join(dir, LOCK_FILE), { timeout: 0 })
  try {
    // With a log beside it the file could not be locked whole.
    db.pragma('journal_mode = DELETE')
    db.exec('BEGIN EXCLUSIVE')
  } catch (error) {
    db.close()
    const code = error instanceof Error && 'code' in error ? String(error.code) : ''
    if (!code.startsWith('SQLITE_BUSY')) throw error
    throw new StoreError(
      StoreErrorCode.inUse,
      `Cannot open the data directory: it must have one service only, got a second one on ${dir}; ` +
        `stop the first, or give this one another directory with --data`,
      { cause: error },
    )
  }
  return () => db.close()
}
