import { closeSync, existsSync, fsyncSync, linkSync, openSync, rmSync } from 'node:fs'
import { StoreError, StoreErrorCode } from '../contract.ts'
import type { Db } from './database.ts'
import { damageOf } from './rescue.ts'

/**
 * Writes a whole copy of one moment into a new file, while others write. The file appears when it is complete and on disk.
 * Rejects when it exists; readable by its owner alone, because it holds the hashes of passwords.
 */
export function writeBackup(db: Db, file: string): void {
  if (existsSync(file)) throw exists(file)
  const part = `${file}.part`
  rmSync(part, { force: true })
  try {
    closeSync(openSync(part, 'wx', 0o600))
    db.prepare('VACUUM INTO ?').run(part)
    const damage = damageOf(part)
    if (damage !== null) throw unsound(damage)
    const handle = openSync(part, 'r+')
    fsyncSync(handle)
    closeSync(handle)
    link(part, file)
  } finally {
    rmSync(part, { force: true })
  }
}

/** A copy of a damaged database is damaged too: better none than one that somebody counts on. */
function unsound(damage: string): StoreError {
  return new StoreError(
    StoreErrorCode.corrupt,
    `Cannot write a backup: the copy must be sound, got damage (${damage}); look at the disk`,
  )
}

/** Unlike a renaming, a link never replaces a file that came to be meanwhile. */
function link(part: string, file: string): void {
  try {
    linkSync(part, file)
  } catch (error) {
    if (existsSync(file)) throw exists(file)
    throw error
  }
}

function exists(file: string): StoreError {
  return new StoreError(
    StoreErrorCode.duplicate,
    `Cannot write a backup: its file must be new, got ${file}, which exists`,
  )
}
