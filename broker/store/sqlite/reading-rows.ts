import { unpackChunk } from '../codec/chunk.ts'
import { ColumnBuilder, type Columnar } from '../codec/columns.ts'
import { readFrame } from '../codec/frame.ts'
import { readPack } from '../codec/pack-body.ts'
import type { Db } from './database.ts'
import { JournalTable } from './journal-tables.ts'

export interface ChunkRow {
  readonly id: number
  readonly from_ms: number
  readonly to_ms: number
  readonly count: number
}

interface ChunkBody extends ChunkRow {
  readonly body: Uint8Array
}

/** Reads chunks and journals. To be used within one transaction, so that packing cannot move samples meanwhile. */
export class ReadingRows {
  readonly #channels
  readonly #journals
  readonly #journal
  readonly #spans
  readonly #body
  readonly #newest

  constructor(db: Db) {
    this.#channels = db.prepare<[string, string], { id: number; speaker: number }>(
      `SELECT channel.id, channel.speaker FROM channel JOIN speaker ON speaker.id = channel.speaker
       WHERE speaker.name = ? AND channel.name = ?`,
    )
    this.#journals = db
      .prepare<[], Uint8Array>(
        `SELECT body FROM (SELECT id, body FROM ${JournalTable.a} UNION ALL SELECT id, body FROM ${JournalTable.b})
         ORDER BY id`,
      )
      .pluck()
    const all = (table: JournalTable) =>
      db.prepare<[], Uint8Array>(`SELECT body FROM ${table} ORDER BY id`).pluck()
    this.#journal = { [JournalTable.a]: all(JournalTable.a), [JournalTable.b]: all(JournalTable.b) }
    this.#spans = db.prepare<[number, number, number], ChunkBody>(
      'SELECT id, from_ms, to_ms, count, body FROM chunk WHERE channel = ? AND to_ms >= ? AND from_ms < ? ORDER BY to_ms, id',
    )
    this.#body = db.prepare<[number], ChunkBody>(
      'SELECT id, from_ms, to_ms, count, body FROM chunk WHERE id = ?',
    )
    this.#newest = db.prepare<[number], ChunkRow>(
      'SELECT id, from_ms, to_ms, count FROM chunk WHERE channel = ? ORDER BY to_ms DESC, id DESC LIMIT 1',
    )
  }

  /** The numbers of a device's channel: one for each unit it was sent in. */
  channels(device: string, channel: string): { id: number; speaker: number }[] {
    return this.#channels.all(device, channel)
  }

  /** The channel's packed samples from `fromMs` until before `toMs`, chunk by chunk: whole chunks, which may overlap. */
  *chunks(channel: number, fromMs: number, toMs: number): Generator<Columnar> {
    for (const row of this.#spans.iterate(channel, fromMs, toMs)) yield unpack(row)
  }

  chunk(id: number): Columnar {
    const row = this.#body.get(id)
    if (row === undefined) throw new RangeError(`Cannot read chunk: it must exist, got number ${id}`)
    return unpack(row)
  }

  newestChunk(channel: number): ChunkRow | undefined {
    return this.#newest.get(channel)
  }

  /** A device's samples that are not packed yet, by channel, in the order of arrival. */
  journalOf(speaker: number): Map<number, ColumnBuilder> {
    return gather(this.#journals.iterate(), speaker)
  }

  /** A whole journal by channel. */
  journal(table: JournalTable): Map<number, ColumnBuilder> {
    return gather(this.#journal[table].iterate(), null)
  }
}

function unpack({ from_ms, to_ms, count, body }: ChunkBody): Columnar {
  return unpackChunk({ fromMs: from_ms, toMs: to_ms, count, body })
}

function gather(frames: Iterable<Uint8Array>, speaker: number | null): Map<number, ColumnBuilder> {
  const channels = new Map<number, ColumnBuilder>()
  for (const frame of frames) {
    for (const { readings, receivedMs } of readFrame(frame, speaker)) {
      readPack(readings, receivedMs, (channel, at, value, mark) => {
        let builder = channels.get(channel)
        if (builder === undefined) channels.set(channel, (builder = new ColumnBuilder()))
        builder.push(at, value, mark)
      })
    }
  }
  return channels
}
