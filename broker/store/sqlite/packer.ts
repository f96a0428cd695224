import { CHUNK_SAMPLES, packChunks } from '../codec/chunk.ts'
import { ColumnBuilder } from '../codec/columns.ts'
import { remaining } from '../remaining.ts'
import type { Db } from './database.ts'
import { JournalTable } from './journal-tables.ts'
import {
  type Cursor,
  type DropQuestion,
  FIRST,
  type NewChunk,
  type PackingPlan,
  type PackingStep,
  type RepackQuestion,
} from './packing.ts'
import { type ChunkRow, ReadingRows } from './reading-rows.ts'

/** A chunk with fewer samples than this is joined with its neighbours when the chance comes. */
const POOR_SAMPLES = CHUNK_SAMPLES / 2
/** Samples of one step: what the service's connection then writes at once. */
const STEP_SAMPLES = 8 * CHUNK_SAMPLES
/** Chunks looked at in one step. */
const STEP_CHUNKS = 512

/** Works out how to pack, from a connection that only reads. Nothing else changes chunks until its plan is carried out. */
export class Packer {
  readonly #rows: ReadingRows
  readonly #channelsOf
  readonly #channelsFrom
  readonly #after
  readonly #old

  constructor(db: Db) {
    this.#rows = new ReadingRows(db)
    this.#channelsOf = db.prepare<[string, number], { id: number }>(
      `SELECT channel.id FROM channel JOIN speaker ON speaker.id = channel.speaker
       WHERE speaker.name = ? AND channel.id >= ? ORDER BY channel.id`,
    )
    this.#channelsFrom = db.prepare<[number], { id: number; device: string; name: string }>(
      `SELECT channel.id, speaker.name AS device, channel.name
       FROM channel JOIN speaker ON speaker.id = channel.speaker WHERE channel.id >= ? ORDER BY channel.id`,
    )
    this.#after = db.prepare<[number, number, number, number], ChunkRow>(
      `SELECT id, from_ms, to_ms, count FROM chunk WHERE channel = ? AND (to_ms, from_ms, id) > (?, ?, ?)
       ORDER BY to_ms, from_ms, id`,
    )
    this.#old = db
      .prepare<[number, number], number>(
        `SELECT EXISTS (SELECT 1 FROM ${JournalTable.a} WHERE from_ms < ?) OR
                EXISTS (SELECT 1 FROM ${JournalTable.b} WHERE from_ms < ?)`,
      )
      .pluck()
  }

  /** Packs a frozen journal; short pieces are joined with their channel's last chunk if that is short too. */
  seal(table: JournalTable): PackingPlan {
    const write: NewChunk[] = []
    const remove: number[] = []
    for (const [channel, loose] of this.#rows.journal(table)) {
      const all = new ColumnBuilder()
      const last = loose.length < POOR_SAMPLES ? this.#rows.newestChunk(channel) : undefined
      if (last !== undefined && last.count < POOR_SAMPLES) {
        all.append(this.#rows.chunk(last.id))
        remove.push(last.id)
      }
      all.append(loose.build())
      for (const chunk of packChunks(all.build())) write.push({ channel, ...chunk })
    }
    return { write, remove }
  }

  /** Joins the next run of poor chunks of a device. */
  repack({ device, cursor }: RepackQuestion): PackingStep {
    for (const { id: channel } of this.#channelsOf.all(device, cursor.channel)) {
      let run: ChunkRow[] = []
      let samples = 0
      for (const row of this.#chunksAfter(channel, cursor)) {
        if (row.count < POOR_SAMPLES) {
          run.push(row)
          samples += row.count
          if (samples < STEP_SAMPLES) continue
        } else if (run.length < 2) {
          run = []
          samples = 0
          continue
        }
        break
      }
      if (run.length < 2) continue
      return { ...this.#join(channel, run), dropped: 0, next: cursorAt(channel, run.at(-1)!) }
    }
    return { write: [], remove: [], dropped: 0, next: null }
  }

  /** Whether a journal holds readings from before this time: then the journals are packed first. */
  holdsLoose(beforeMs: number): boolean {
    return this.#old.get(beforeMs, beforeMs) === 1
  }

  /** Finds what is older than asked and outside the spans that are kept, in the next chunks. */
  drop({ beforeMs, keep, cursor }: DropQuestion): PackingStep {
    const write: NewChunk[] = []
    const remove: number[] = []
    let dropped = 0
    let looked = 0
    let last = cursor
    for (const { id: channel, device, name } of this.#channelsFrom.all(cursor.channel)) {
      const spans = keep.filter(span => span.device === device && span.channel === name)
      for (const row of this.#chunksAfter(channel, cursor)) {
        if (looked >= STEP_CHUNKS) return { write, remove, dropped, next: last }
        looked++
        last = cursorAt(channel, row)
        if (
          row.from_ms >= beforeMs ||
          spans.some(span => span.fromMs <= row.from_ms && row.to_ms < span.toMs)
        )
          continue
        const touched =
          row.to_ms >= beforeMs || spans.some(span => span.fromMs <= row.to_ms && row.from_ms < span.toMs)
        const left = touched ? remaining(this.#rows.chunk(row.id), beforeMs, spans) : null
        const count = left?.at.length ?? 0
        if (count === row.count) continue
        remove.push(row.id)
        dropped += row.count - count
        if (left !== null && count > 0)
          for (const chunk of packChunks(left)) write.push({ channel, ...chunk })
      }
    }
    return { write, remove, dropped, next: null }
  }

  #chunksAfter(channel: number, cursor: Cursor): Iterable<ChunkRow> {
    const { toMs, fromMs, id } = channel === cursor.channel ? cursor : FIRST
    return this.#after.iterate(channel, toMs, fromMs, id)
  }

  #join(channel: number, run: readonly ChunkRow[]): PackingPlan {
    const all = new ColumnBuilder()
    for (const { id } of run) all.append(this.#rows.chunk(id))
    return {
      write: packChunks(all.build()).map(chunk => ({ channel, ...chunk })),
      remove: run.map(({ id }) => id),
    }
  }
}

function cursorAt(channel: number, row: ChunkRow): Cursor {
  return { channel, toMs: row.to_ms, fromMs: row.from_ms, id: row.id }
}
