import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, resolve } from 'node:path'
import { keepCommand } from '../audit.ts'
import { Guests } from '../room/handover/guests.ts'
import { bytesOf, fileName, handOver } from '../room/handover/write.ts'
import { PROGRAM } from '../version.ts'
import { CommandError, type StoreCommand } from './command.ts'

const exportBatch: StoreCommand = {
  name: 'batch export',
  argument: 'ID',
  optional: 'FILE',
  about:
    'one batch as a new file that another brinewatch plays back; the id stands in the address of its page',
  more: 'Without FILE it is named by its vessel and day, in this folder.',
  flags: ['no-names', 'photos'],
  begins: false,
  async run(store, { nowMs, print, flags }, id, name) {
    const options = { nowMs, program: PROGRAM, names: !flags['no-names'], photos: flags.photos }
    const file = await handOver(store, id, options)
    const path = resolve(name ?? fileName(file))
    if (existsSync(path)) throw new CommandError(`Cannot write the batch out: ${path} is there already`)
    if (!existsSync(dirname(path)))
      throw new CommandError(
        `Cannot write the batch out into ${path}: there is no folder ${dirname(path)}; make it first`,
      )
    writeFileSync(path, await bytesOf(file))
    await keepCommand(store, 'wrote a batch out', id, nowMs)
    print(JSON.stringify({ batch: id, file: path }))
  },
}

const importBatch: StoreCommand = {
  name: 'batch import',
  argument: 'FILE',
  about: 'bring such a file in: it stands under Lots, Batches, beside the own ones',
  begins: true,
  async run(store, { nowMs, print }, file) {
    const path = resolve(file)
    if (!existsSync(path)) throw new CommandError(`Cannot bring the batch in: there is no file ${path}`)
    const guests = new Guests({ store, clock: () => nowMs })
    const { guest, isNew } = await guests.bring(readFileSync(path), 'the command')
    await keepCommand(store, 'brought a batch in', guest.id, nowMs)
    print(JSON.stringify({ batch: guest.id, isNew }))
  },
}

export const batchCommands = [exportBatch, importBatch]
