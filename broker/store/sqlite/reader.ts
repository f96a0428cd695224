import type { Columnar } from '../codec/columns.ts'
import { ColumnBuilder } from '../codec/columns.ts'
import { isMissing, qualityOf } from '../codec/mark.ts'
import type { Columns, HistoryQuery, LatestRow, Source } from '../contract.ts'
import { DownSampler } from '../history/down-sampler.ts'
import { setRight } from '../history/set-right.ts'
import type { Db } from './database.ts'
import { JournalTable } from './journal-tables.ts'
import { ReadingRows } from './reading-rows.ts'

/** Answers what is asked of the readings, from a connection of its own. Each answer is of one moment. */
export class Reader {
  readonly #rows: ReadingRows
  readonly #named

  constructor(db: Db) {
    this.#rows = new ReadingRows(db)
    this.#named = db.prepare<[], { id: number; device: string; name: string; unit: string }>(
      `SELECT channel.id, speaker.name AS device, channel.name, channel.unit
       FROM channel JOIN speaker ON speaker.id = channel.speaker`,
    )
  }

  history({ channels, fromMs, toMs, points }: HistoryQuery): Record<string, Columns> {
    const journals = new Journals(this.#rows)
    const columns = Object.entries(channels).map(([name, sources]) => {
      const sampler = new DownSampler(fromMs, toMs, points)
      for (const source of sources) {
        const from = Math.max(fromMs, source.fromMs)
        const to = Math.min(toMs, source.toMs)
        if (from >= to) continue
        for (const part of this.#parts(source, from, to, journals)) sampler.add(part, source, from, to)
      }
      return [name, sampler.columns()] as const
    })
    return Object.fromEntries(columns)
  }

  samples(sources: readonly Source[]): Columnar {
    const journals = new Journals(this.#rows)
    const all = new ColumnBuilder()
    for (const source of sources) {
      const one = new ColumnBuilder()
      for (const part of this.#parts(source, source.fromMs, source.toMs, journals)) one.append(part)
      all.append(setRight(one.build(), source))
    }
    return all.build()
  }

  latest(): LatestRow[] {
    const loose = [this.#rows.journal(JournalTable.a), this.#rows.journal(JournalTable.b)]
    const newest = new Map<string, LatestRow>()
    for (const { id, device, name, unit } of this.#named.iterate()) {
      const packed = this.#rows.newestChunk(id)
      const parts = packed === undefined ? [] : [this.#rows.chunk(packed.id)]
      for (const journal of loose) {
        const builder = journal.get(id)
        if (builder !== undefined) parts.push(builder.build())
      }
      for (const { at, value, mark } of parts) {
        const last = at.length - 1
        const key = `${device}\n${name}`
        if (last < 0 || at[last]! < (newest.get(key)?.atMs ?? -1)) continue
        newest.set(key, {
          device,
          channel: name,
          unit,
          atMs: at[last]!,
          value: isMissing(mark[last]!) ? null : value[last]!,
          quality: qualityOf(mark[last]!),
        })
      }
    }
    return [...newest.values()]
  }

  *#parts(source: Source, fromMs: number, toMs: number, journals: Journals): Generator<Columnar> {
    for (const { id, speaker } of this.#rows.channels(source.device, source.channel)) {
      yield* this.#rows.chunks(id, fromMs, toMs)
      const loose = journals.of(speaker, id)
      if (loose !== undefined) yield loose
    }
  }
}

/** The journals' samples of the devices that one question is about, each device unpacked once. */
class Journals {
  readonly #rows: ReadingRows
  readonly #bySpeaker = new Map<number, Map<number, Columnar>>()

  constructor(rows: ReadingRows) {
    this.#rows = rows
  }

  of(speaker: number, channel: number): Columnar | undefined {
    let channels = this.#bySpeaker.get(speaker)
    if (channels === undefined) {
      channels = new Map([...this.#rows.journalOf(speaker)].map(([id, builder]) => [id, builder.build()]))
      this.#bySpeaker.set(speaker, channels)
    }
    return channels.get(channel)
  }
}
