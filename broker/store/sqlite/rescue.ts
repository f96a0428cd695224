import {
  closeSync,
  copyFileSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  renameSync,
  rmSync,
  statSync,
} from 'node:fs'
import { basename, join } from 'node:path'
import Database from 'better-sqlite3'
import { backupsIn } from '../backups/folder.ts'
import { StoreError, StoreErrorCode } from '../contract.ts'
import { BUSY_TIMEOUT_MS, DATABASE_FILE } from './database.ts'

/** A damaged database was found at the start, and a backup put in its place. */
export interface Rescue {
  /** What was wrong, in SQLite's words. */
  readonly damage: string
  /** The folder with the damaged files as they were. */
  readonly keptIn: string
  readonly restoredFrom: string
  /** Of when the restored copy is, Unix ms: what came in after it is in the damaged file alone. */
  readonly restoredAtMs: number
}

/** The sound copy is complete under this name before the damaged file is moved: a start that breaks off in between goes on here. */
const READY = `${DATABASE_FILE}.restored`
/** Beside the database; a log of another database must never be read into the restored one. */
const COMPANIONS = ['', '-wal', '-shm'] as const

/**
 * Looks through the database of a data directory whose service lock is held. Sound, or not there yet: `null`. Damaged: the newest sound
 * backup takes its place and the damaged files are kept in a folder of their own.
 *
 * Throws a StoreError with code `corrupt` when there is no sound backup; nothing has been touched then. What SQLite's quick check does
 * not see, as a bit that flipped inside of a value, is not seen here either.
 */
export function rescueDatabase(dir: string, backupsDir: string | null, nowMs: number): Rescue | null {
  const file = join(dir, DATABASE_FILE)
  const ready = join(dir, READY)
  if (!existsSync(file)) {
    if (existsSync(ready)) renameSync(ready, file)
    return null
  }
  rmSync(ready, { force: true })
  const candidates = backupsDir === null ? [] : backupsIn(backupsDir)
  const damage = isEmptied(file, candidates.length > 0) ? 'the file is empty' : damageOf(file)
  if (damage === null) return null

  const sound = candidates.find(({ name }) => damageOf(join(backupsDir!, name)) === null)
  if (sound === undefined) throw beyondRescue(dir, damage, backupsDir)
  const restoredFrom = join(backupsDir!, sound.name)
  copyFileSync(restoredFrom, ready)
  toDisk(ready)
  const keptIn = join(dir, `damaged-${new Date(nowMs).toISOString().replaceAll(':', '').slice(0, 17)}Z`)
  mkdirSync(keptIn, { recursive: true, mode: 0o700 })
  // The database itself goes last: as long as it is there, a start that broke off begins from the beginning.
  for (const end of [...COMPANIONS].reverse()) {
    const from = `${file}${end}`
    if (existsSync(from)) renameSync(from, join(keptIn, basename(from)))
  }
  renameSync(ready, file)
  return { damage, keptIn, restoredFrom, restoredAtMs: sound.atMs }
}

/** What is wrong with a database file; `null` of a sound one. Throws what says nothing of damage, such as a lack of rights. */
export function damageOf(file: string): string | null {
  let db: Database.Database | null = null
  try {
    db = new Database(file, { fileMustExist: true, timeout: BUSY_TIMEOUT_MS })
    const found = db.pragma('quick_check(1)', { simple: true })
    return found === 'ok' ? null : String(found)
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? String(error.code) : ''
    if (!code.startsWith('SQLITE_CORRUPT') && code !== 'SQLITE_NOTADB') throw error
    return error instanceof Error ? error.message : String(error)
  } finally {
    db?.close()
  }
}

/** To SQLite an empty file is a new database; with backups beside it, it is one that was lost. */
function isEmptied(file: string, hasBackups: boolean): boolean {
  const size = (name: string) => statSync(name, { throwIfNoEntry: false })?.size ?? 0
  return hasBackups && size(file) === 0 && size(`${file}-wal`) === 0
}

function beyondRescue(dir: string, damage: string, backupsDir: string | null): StoreError {
  const looked = backupsDir === null ? 'backups are switched off' : `no sound backup lies in ${backupsDir}`
  return new StoreError(
    StoreErrorCode.corrupt,
    `Cannot open the store in ${dir}: the database file is damaged (${damage}), and ${looked}. Nothing was changed. ` +
      `Restore a backup of your own into a new directory (brinewatch --data NEW restore FILE), ` +
      `or move ${DATABASE_FILE} away to begin anew`,
  )
}

function toDisk(file: string): void {
  const handle = openSync(file, 'r+')
  fsyncSync(handle)
  closeSync(handle)
}
