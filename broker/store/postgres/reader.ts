import { ColumnBuilder, type Columnar } from '../codec/columns.ts'
import { isMissing, qualityOf } from '../codec/mark.ts'
import type { Columns, HistoryQuery, LatestRow, Sample, Source } from '../contract.ts'
import { DownSampler } from '../history/down-sampler.ts'
import { setRight } from '../history/set-right.ts'
import { toSamples } from '../samples.ts'
import { unpackChunk } from '../codec/chunk.ts'
import type { Position } from './position.ts'
import { allLoose, CHUNK, type ChunkRow, chunksOf, eachReading, looseOf } from './reading-rows.ts'
import type { Sql } from './sql.ts'

/**
 * Answers what is asked of the readings; each question within one transaction, so that packing cannot move samples meanwhile. Unpacked
 * here, some rows at a time, so that between the steps the event loop goes on.
 */
export class Reader {
  readonly #sql: Sql
  /** Packs after it are passed over; `null`: none is. */
  readonly #upTo: Position | null

  constructor(sql: Sql, upTo: Position | null) {
    this.#sql = sql
    this.#upTo = upTo
  }

  async history({ channels, fromMs, toMs, points }: HistoryQuery): Promise<Record<string, Columns>> {
    const columns: [string, Columns][] = []
    for (const [name, sources] of Object.entries(channels)) {
      const sampler = new DownSampler(fromMs, toMs, points)
      for (const source of sources) {
        const from = Math.max(fromMs, source.fromMs)
        const to = Math.min(toMs, source.toMs)
        if (from >= to) continue
        for await (const part of this.#parts(source, from, to)) sampler.add(part, source, from, to)
      }
      columns.push([name, sampler.columns()])
    }
    return Object.fromEntries(columns)
  }

  async samples(sources: readonly Source[]): Promise<Sample[]> {
    const all = new ColumnBuilder()
    for (const source of sources) {
      const one = new ColumnBuilder()
      for await (const part of this.#parts(source, source.fromMs, source.toMs)) one.append(part)
      all.append(setRight(one.build(), source))
    }
    return await toSamples(all.build())
  }

  async latest(): Promise<LatestRow[]> {
    const named = await this.#sql.rows<{ id: number; device: string; name: string; unit: string }>(
      `SELECT channel.id, speaker.name AS device, channel.name, channel.unit
       FROM channel JOIN speaker ON speaker.id = channel.speaker ORDER BY channel.id`,
    )
    const newest = new Map<number, { at: number; value: number; mark: number }>()
    const packed = await this.#sql.rows<ChunkRow>(
      `SELECT newest.* FROM channel CROSS JOIN LATERAL
         (SELECT ${CHUNK} FROM chunk WHERE chunk.channel = channel.id ORDER BY to_ms DESC, id DESC LIMIT 1) AS newest`,
    )
    for (const row of packed) {
      const { at, value, mark } = unpackChunk(row)
      const last = at.length - 1
      newest.set(row.channel, { at: at[last]!, value: value[last]!, mark: mark[last]! })
    }
    for await (const row of allLoose(this.#sql, this.#upTo)) {
      eachReading(row, (channel, at, value, mark) => {
        if (at >= (newest.get(channel)?.at ?? -1)) newest.set(channel, { at, value, mark })
      })
    }
    const rows = new Map<string, LatestRow>()
    for (const { id, device, name, unit } of named) {
      const one = newest.get(id)
      const key = `${device}\n${name}`
      if (one === undefined || one.at < (rows.get(key)?.atMs ?? -1)) continue
      rows.set(key, {
        device,
        channel: name,
        unit,
        atMs: one.at,
        value: isMissing(one.mark) ? null : one.value,
        quality: qualityOf(one.mark),
      })
    }
    return [...rows.values()]
  }

  async *#parts({ device, channel }: Source, fromMs: number, toMs: number): AsyncGenerator<Columnar> {
    const numbers = await this.#sql.rows<{ id: number; speaker: number }>(
      `SELECT channel.id, channel.speaker FROM channel JOIN speaker ON speaker.id = channel.speaker
       WHERE speaker.name = $1 AND channel.name = $2 ORDER BY channel.id`,
      [device, channel],
    )
    for (const { id, speaker } of numbers) {
      yield* chunksOf(this.#sql, id, fromMs, toMs)
      const loose = new ColumnBuilder()
      for await (const row of looseOf(this.#sql, speaker, fromMs, toMs, this.#upTo)) {
        eachReading(row, (of, at, value, mark) => {
          if (of === id) loose.push(at, value, mark)
        })
      }
      if (loose.length > 0) yield loose.build()
    }
  }
}
