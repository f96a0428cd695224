import { mkdirSync, rmSync, statSync } from 'node:fs'
import { statfs } from 'node:fs/promises'
import { join } from 'node:path'
import type { Clock } from '../../clock.ts'
import { StoreError, StoreErrorCode } from '../contract.ts'
import { DATABASE_FILE } from '../sqlite/database.ts'
import type { StoreLogger } from '../logger.ts'
import { backupsIn } from './folder.ts'
import { nameBackup } from './names.ts'
import { outlived } from './rotation.ts'

const HOUR_MS = 3_600_000
const EVERY_MS = 24 * HOUR_MS
/** After a failure. */
const RETRY_MS = HOUR_MS
/** A service that was only looked at leaves no backup. */
const SETTLING_MS = 10 * 60_000
/** What a backup must leave free: the readings need it more. */
const LEFT_FREE_BYTES = 64 * 1024 * 1024

export interface BackupState {
  readonly dir: string
  /** Of when the newest is, Unix ms; `null` while there is none. */
  readonly newestAtMs: number | null
  readonly bytes: number
  readonly count: number
}

/** Why a backup that is due could not be made, and since when it has been due. */
export interface Overdue {
  readonly detail: string
  readonly sinceMs: number
}

export interface KeeperParts {
  readonly store: { backup(file: string): Promise<void> }
  readonly dataDir: string
  /** Where backups go; made if it is missing. */
  readonly dir: string
  readonly clock: Clock
  readonly logger: StoreLogger
  /** Bytes that the disk of a folder has free; asked of the system when left out. */
  readonly freeBytes?: (dir: string) => Promise<number>
}

/**
 * A whole copy of all that is kept, once a day while the service runs, checked after it was written; old ones make room, see
 * `rotation.ts`. It runs on the thread that packs, so readings and alarms do not wait for it.
 */
export class BackupKeeper {
  readonly #parts: KeeperParts
  readonly #startedAtMs: number
  #nextAtMs: number
  #running: Promise<void> | null = null
  #closed = false
  #overdue: Overdue | null = null

  constructor(parts: KeeperParts) {
    this.#parts = parts
    this.#startedAtMs = parts.clock()
    this.#nextAtMs = this.#startedAtMs + SETTLING_MS
  }

  get state(): BackupState {
    const { dir } = this.#parts
    const backups = this.#backups()
    return {
      dir,
      newestAtMs: backups[0]?.atMs ?? null,
      bytes: backups.reduce((sum, { name }) => sum + (sizeOf(join(dir, name)) ?? 0), 0),
      count: backups.length,
    }
  }

  /** `null` while backups are made. */
  get overdue(): Overdue | null {
    return this.#overdue
  }

  get running(): boolean {
    return this.#running !== null
  }

  /** To be called now and then: begins a backup when one is due. */
  tick(): void {
    const nowMs = this.#parts.clock()
    if (this.#closed || this.#running !== null || nowMs < this.#nextAtMs) return
    const newest = this.#backups()[0]?.atMs
    // A backup of the future is of a clock that was wrong then or is now; it does not hold back the next for years.
    if (newest !== undefined && Math.abs(nowMs - newest) < EVERY_MS) {
      this.#nextAtMs = Math.min(newest, nowMs) + EVERY_MS
      return
    }
    this.#running = this.#make(nowMs).finally(() => (this.#running = null))
  }

  /** Waits for the one under way. */
  async close(): Promise<void> {
    this.#closed = true
    await this.#running
  }

  async #make(nowMs: number): Promise<void> {
    const { store, dir, logger } = this.#parts
    try {
      mkdirSync(dir, { recursive: true, mode: 0o700 })
      await this.#needRoom()
      const file = join(dir, nameBackup(nowMs))
      await store.backup(file)
      for (const { name } of outlived(this.#backups())) rmSync(join(dir, name), { force: true })
      this.#overdue = null
      this.#nextAtMs = nowMs + EVERY_MS
      logger.info({ file }, 'backed up')
    } catch (error) {
      const detail = error instanceof Error ? error.message : String(error)
      this.#overdue = { detail, sinceMs: this.#overdue?.sinceMs ?? nowMs }
      this.#nextAtMs = nowMs + RETRY_MS
      logger.warn({ err: error }, 'no backup could be made; tried again in an hour')
    }
  }

  async #needRoom(): Promise<void> {
    const { dataDir, dir, freeBytes = freeOf } = this.#parts
    const database = join(dataDir, DATABASE_FILE)
    const needed = (sizeOf(database) ?? 0) + (sizeOf(`${database}-wal`) ?? 0) + LEFT_FREE_BYTES
    const free = await freeBytes(dir)
    if (free >= needed) return
    throw new StoreError(
      StoreErrorCode.full,
      `Cannot make a backup: the disk of ${dir} must have ${megabytes(needed)} MB free, got ${megabytes(free)}; ` +
        `make room, or name another folder with --backups`,
    )
  }

  #backups() {
    return backupsIn(this.#parts.dir)
  }
}

const megabytes = (bytes: number): number => Math.round(bytes / 1e6)

function sizeOf(file: string): number | null {
  return statSync(file, { throwIfNoEntry: false })?.size ?? null
}

async function freeOf(dir: string): Promise<number> {
  const { bavail, bsize } = await statfs(dir)
  return bavail * bsize
}
