import { packRanges, type Ranges } from '../ranges.ts'
import type { Db } from './database.ts'
import { JournalTable } from './journal-tables.ts'
import type { PackingPlan } from './packing.ts'

/** The packs of one commit, as `codec/frame.ts` lays them out. */
export interface Frame {
  readonly table: JournalTable
  readonly id: number
  /** The oldest of its readings. */
  readonly fromMs: number
  readonly packs: number
  readonly body: Uint8Array
}

export interface ChannelRow {
  readonly id: number
  readonly speaker: number
  readonly name: string
  readonly unit: string
}

export interface NewBoot {
  readonly id: number
  readonly speaker: number
  readonly name: string
}

/** A plan to be carried out, and the journal whose packs are in its chunks. */
export interface Packing extends PackingPlan {
  readonly emptied: JournalTable | null
  /** The pack numbers, by power-up, that were in that journal and before it. */
  readonly ranges: readonly (readonly [boot: number, ranges: Ranges])[]
}

/** All that writes readings and what they refer to. */
export class ReadingWrites {
  readonly #db: Db
  readonly #frame
  readonly #speaker
  readonly #channel
  readonly #boot
  readonly #forgetBoot
  readonly #ranges
  readonly #empty
  readonly #addChunk
  readonly #removeChunk

  constructor(db: Db) {
    this.#db = db
    const frame = (table: JournalTable) =>
      db.prepare<[number, number, number, Uint8Array]>(
        `INSERT INTO ${table} (id, from_ms, packs, body) VALUES (?, ?, ?, ?)`,
      )
    this.#frame = { [JournalTable.a]: frame(JournalTable.a), [JournalTable.b]: frame(JournalTable.b) }
    this.#speaker = db.prepare<[number, string]>('INSERT INTO speaker (id, name) VALUES (?, ?)')
    this.#channel = db.prepare<[ChannelRow]>(
      'INSERT INTO channel (id, speaker, name, unit) VALUES (@id, @speaker, @name, @unit)',
    )
    this.#boot = db.prepare<[number, number, string, Uint8Array]>(
      'INSERT INTO boot (id, speaker, name, ranges) VALUES (?, ?, ?, ?)',
    )
    this.#forgetBoot = db.prepare<[number]>('DELETE FROM boot WHERE id = ?')
    this.#ranges = db.prepare<[Uint8Array, number]>('UPDATE boot SET ranges = ? WHERE id = ?')
    const empty = (table: JournalTable) => db.prepare(`DELETE FROM ${table}`)
    this.#empty = { [JournalTable.a]: empty(JournalTable.a), [JournalTable.b]: empty(JournalTable.b) }
    this.#addChunk = db.prepare<[number, number, number, number, Uint8Array]>(
      'INSERT INTO chunk (channel, from_ms, to_ms, count, body) VALUES (?, ?, ?, ?, ?)',
    )
    this.#removeChunk = db.prepare<[number]>('DELETE FROM chunk WHERE id = ?')
  }

  addFrame({ table, id, fromMs, packs, body }: Frame): void {
    this.#frame[table].run(id, fromMs, packs, body)
  }

  addSpeaker({ id, name }: { readonly id: number; readonly name: string }): void {
    this.#speaker.run(id, name)
  }

  addChannel(channel: ChannelRow): void {
    this.#channel.run(channel)
  }

  addBoot({ id, speaker, name }: NewBoot): void {
    this.#boot.run(id, speaker, name, packRanges([]))
  }

  forgetBoot(id: number): void {
    this.#forgetBoot.run(id)
  }

  pack({ emptied, ranges, remove, write }: Packing): void {
    // What goes leaves room for what comes: so it works on a full disk too.
    for (const [boot, numbers] of ranges) this.#ranges.run(packRanges(numbers), boot)
    if (emptied !== null) this.#empty[emptied].run()
    for (const id of remove) this.#removeChunk.run(id)
    for (const { channel, fromMs, toMs, count, body } of write)
      this.#addChunk.run(channel, fromMs, toMs, count, body)
  }

  giveBack(pages: number): number {
    this.#db.exec(`PRAGMA incremental_vacuum(${pages})`)
    return Number(this.#db.pragma('freelist_count', { simple: true }))
  }
}
