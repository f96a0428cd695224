import { copyFileSync, existsSync, mkdirSync, mkdtempSync, renameSync, rmSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { keepCommand } from '../audit.ts'
import { DATABASE_FILE } from '../store/sqlite/database.ts'
import { isDatabase } from '../store/open-at.ts'
import { openStore } from '../store/sqlite/open.ts'
import { CommandError, type DirectoryCommand, type StoreCommand } from './command.ts'

const backup: StoreCommand = {
  name: 'backup',
  argument: 'FILE',
  about: 'a whole copy of all that is kept, into a new file, while the service runs',
  begins: false,
  async run(store, { nowMs, print }, file) {
    if (!('backup' in store)) {
      throw new CommandError(
        `Cannot back up into ${file}: the data are in PostgreSQL, whose own tool makes whole copies while the service runs: ` +
          `pg_dump --format=custom --file=${file} (pg_restore brings them back)`,
      )
    }
    const path = resolve(file)
    if (!existsSync(dirname(path)))
      throw new CommandError(
        `Cannot back up into ${path}: there is no folder ${dirname(path)}; make it first`,
      )
    await store.backup(path)
    await keepCommand(store, 'made a backup', path, nowMs)
    print(JSON.stringify({ backup: path }))
  },
}

const restore: DirectoryCommand = {
  name: 'restore',
  argument: 'FILE',
  about: 'begin a data directory from such a copy; it must not hold data yet',
  async run({ dataDir, place, nowMs, print }, file) {
    if (isDatabase(place)) {
      throw new CommandError(
        `Cannot restore into a database: pg_restore brings a copy made by pg_dump back; copies of a data directory go into a new --data directory`,
      )
    }
    const database = join(dataDir, DATABASE_FILE)
    const occupied = () =>
      new CommandError(
        `Cannot restore into ${dataDir}: it holds data already; name a new directory with --data`,
      )
    if (existsSync(database)) throw occupied()
    if (!existsSync(file)) throw new CommandError(`Cannot restore: there is no file ${file}`)
    mkdirSync(dataDir, { recursive: true, mode: 0o700 })
    // Beside its place, so that the last step is a renaming: a restore that breaks off leaves nothing half done.
    const trial = mkdtempSync(join(dataDir, '.restore-'))
    try {
      copyFileSync(file, join(trial, DATABASE_FILE))
      const store = await openStore({ dir: trial, exclusive: false, threads: false })
      await keepCommand(store, 'began from a backup', resolve(file), nowMs)
      await store.close()
      if (existsSync(database)) throw occupied()
      renameSync(join(trial, DATABASE_FILE), database)
    } finally {
      rmSync(trial, { recursive: true, force: true })
    }
    print(JSON.stringify({ restored: resolve(dataDir) }))
  },
}

export const backupCommands = [backup, restore]
