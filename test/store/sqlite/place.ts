import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Store } from '../../../broker/store/contract.ts'
import { type OpenOptions, openStore } from '../../../broker/store/sqlite/open.ts'
import type { SqliteStore } from '../../../broker/store/sqlite/sqlite-store.ts'
import type { Place } from '../conformance.ts'

export interface SqlitePlace extends Place {
  readonly dir: string
  open(nowMs?: () => number, more?: Partial<OpenOptions>): Promise<SqliteStore>
}

/** A directory of its own. Questions are answered on the test's thread, unless asked otherwise: threads take long to start. */
export async function sqlitePlace(more: Partial<OpenOptions> = { threads: false }): Promise<SqlitePlace> {
  const dir = mkdtempSync(join(tmpdir(), 'brinewatch-store-'))
  return {
    dir,
    open: (nowMs, again) => openStore({ dir, ...(nowMs && { clock: nowMs }), ...more, ...again }),
    fill: async store => fillSqlite(store),
    dispose: async () => rmSync(dir, { recursive: true, force: true }),
  }
}

/** Stops the file from growing: what needs another page finds no room. */
export async function fillSqlite(store: Store): Promise<() => void> {
  const sqlite = store as SqliteStore
  sqlite.limitBytes(0)
  return () => sqlite.limitBytes(Number.MAX_SAFE_INTEGER)
}
