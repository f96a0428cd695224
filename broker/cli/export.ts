import { mkdirSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { keepCommand } from '../audit.ts'
import type { Room } from '../room/contract.ts'
import { allTables } from '../room/books/tables/all-tables.ts'
import { createTables } from '../room/books/tables/tables.ts'
import type { StoreCommand } from './command.ts'

/** Writing out asks the store alone; what would need the room is for bringing in. */
const noRoom = new Proxy({} as Room, {
  get(_, name) {
    throw new Error(`Writing tables out is not meant to call room.${String(name)}`)
  },
})

const exportTables: StoreCommand = {
  name: 'export',
  argument: 'FOLDER',
  about: 'batches, lots, counts and all else that was written down, as brinewatch.json and a CSV file each',
  begins: false,
  async run(store, { nowMs, print }, folder) {
    const newId = () => {
      throw new Error('Writing tables out makes nothing new')
    }
    const parts = { store, room: noRoom, clock: () => nowMs, newId, changed: () => undefined }
    const tables = createTables(parts, allTables(parts))
    const dir = resolve(folder)
    mkdirSync(dir, { recursive: true })
    const files = [{ name: 'brinewatch.json', text: await tables.json() }]
    for (const { name } of tables.all) files.push({ name: `${name}.csv`, text: await tables.csv(name) })
    for (const { name, text } of files) writeFileSync(join(dir, name), text)
    await keepCommand(store, 'wrote everything out', dir, nowMs)
    print(JSON.stringify({ export: dir, files: files.map(({ name }) => name) }))
  },
}

export const exportCommands = [exportTables]
