import { CHUNK_SAMPLES, packChunks, unpackChunk } from '../codec/chunk.ts'
import { ColumnBuilder } from '../codec/columns.ts'
import type { Source } from '../contract.ts'
import { type Ranges, withValue } from '../ranges.ts'
import { remaining } from '../remaining.ts'
import { Lock, lockArgs } from './locks.ts'
import { beyond, type Position } from './position.ts'
import type { Pools } from './pools.ts'
import { CHUNK, type ChunkRow, eachReading, type LooseRow, looseOf } from './reading-rows.ts'
import { rangesFrom, rangesTo } from './seen.ts'
import { numbers, type Sql } from './sql.ts'

/** A device's packs are moved into chunks once it has so many: enough for a chunk that packs well. */
const PACKS_OF_ONE_DEVICE = 256
/** Moved in one transaction at most. */
const PACKS_AT_ONCE = 2048
/** A chunk with fewer samples than this is joined with its neighbours when the chance comes. */
const POOR_SAMPLES = CHUNK_SAMPLES / 2
/** Samples joined in one step. */
const STEP_SAMPLES = 8 * CHUNK_SAMPLES
const EVER = Number.MAX_SAFE_INTEGER

interface NewChunk {
  readonly channel: number
  readonly fromMs: number
  readonly toMs: number
  readonly count: number
  readonly body: Uint8Array
}

/** What is to be put in place of what. */
interface Plan {
  readonly packs: readonly LooseRow[]
  readonly remove: readonly number[]
  readonly write: readonly NewChunk[]
}

/**
 * Moves packs into chunks, and drops what is old: one process at a time, with short transactions of its own. It reads first, works out, and
 * then changes what it read, or nothing at all if that is not there any more.
 */
export class Packer {
  readonly #pools: Pools
  readonly #schema: string
  /** Packs after it are left alone: they have not been judged. `null`: none is. */
  readonly #judged: () => Position | null
  readonly #isOver: () => boolean

  constructor(parts: { pools: Pools; schema: string; judged: () => Position | null; isOver: () => boolean }) {
    this.#pools = parts.pools
    this.#schema = parts.schema
    this.#judged = parts.judged
    this.#isOver = parts.isOver
  }

  /** Moves the packs of all devices that have many. */
  async look(): Promise<void> {
    const upTo = this.#judged()
    const due = await this.#pools.sql.rows<{ speaker: number }>(
      `SELECT speaker FROM pack WHERE NOT ${beyond('$1', '$2')} GROUP BY speaker HAVING count(*) >= $3`,
      [upTo?.tx ?? null, upTo?.id ?? null, PACKS_OF_ONE_DEVICE],
    )
    for (const { speaker } of due) {
      if (this.#isOver()) return
      await this.#sealSpeaker(speaker)
    }
  }

  /** Moves all of a device's packs, then joins its short chunks. */
  async seal(device: string): Promise<void> {
    const [row] = await this.#pools.sql.rows<{ id: number }>('SELECT id FROM speaker WHERE name = $1', [
      device,
    ])
    if (row === undefined) return
    await this.#sealSpeaker(row.id)
    const channels = await this.#pools.sql.rows<{ id: number }>('SELECT id FROM channel WHERE speaker = $1', [
      row.id,
    ])
    for (const { id } of channels) await this.#join(id)
  }

  /** Drops what is older than asked and outside the spans that are kept; answers how many samples. */
  async drop(beforeMs: number, keep: readonly Source[]): Promise<number> {
    const loose = await this.#pools.sql.rows<{ speaker: number }>(
      'SELECT DISTINCT speaker FROM pack WHERE from_ms < $1',
      [beforeMs],
    )
    for (const { speaker } of loose) await this.#sealSpeaker(speaker)
    const channels = await this.#pools.sql.rows<{ id: number; device: string; name: string }>(
      `SELECT channel.id, speaker.name AS device, channel.name FROM channel JOIN speaker ON speaker.id = channel.speaker
       WHERE EXISTS (SELECT 1 FROM chunk WHERE chunk.channel = channel.id) ORDER BY channel.id`,
    )
    let dropped = 0
    for (const { id, device, name } of channels) {
      const spans = keep.filter(span => span.device === device && span.channel === name)
      dropped += await this.#dropOf(id, beforeMs, spans)
    }
    return dropped
  }

  async #sealSpeaker(speaker: number): Promise<void> {
    while (!this.#isOver()) {
      const packs = await this.#pools.atOnce(async sql => {
        const rows: LooseRow[] = []
        for await (const row of looseOf(sql, speaker, 0, EVER, this.#judged())) {
          rows.push(row)
          if (rows.length >= PACKS_AT_ONCE) break
        }
        return rows
      })
      if (packs.length === 0) return
      const loose = new Map<number, ColumnBuilder>()
      for (const pack of packs) {
        eachReading(pack, (channel, at, value, mark) => {
          let builder = loose.get(channel)
          if (builder === undefined) loose.set(channel, (builder = new ColumnBuilder()))
          builder.push(at, value, mark)
        })
      }
      const write: NewChunk[] = []
      const remove: number[] = []
      for (const [channel, samples] of loose) {
        const all = new ColumnBuilder()
        const last = samples.length < POOR_SAMPLES ? await this.#newest(channel) : undefined
        if (last !== undefined && last.count < POOR_SAMPLES) {
          all.append(unpackChunk(last))
          remove.push(last.id)
        }
        all.append(samples.build())
        for (const chunk of packChunks(all.build())) write.push({ channel, ...chunk })
      }
      await this.#carryOut({ packs, remove, write })
      if (packs.length < PACKS_AT_ONCE) return
    }
  }

  async #newest(channel: number): Promise<ChunkRow | undefined> {
    const text = `SELECT ${CHUNK} FROM chunk WHERE channel = $1 ORDER BY to_ms DESC, id DESC LIMIT 1`
    return (await this.#pools.sql.rows<ChunkRow>(text, [channel]))[0]
  }

  /** Joins runs of poor chunks of a channel. */
  async #join(channel: number): Promise<void> {
    const rows = await this.#pools.sql.rows<Omit<ChunkRow, 'body'>>(
      'SELECT id, channel, from_ms AS "fromMs", to_ms AS "toMs", count FROM chunk WHERE channel = $1 ORDER BY to_ms, from_ms, id',
      [channel],
    )
    let run: number[] = []
    let samples = 0
    const joinRun = async (): Promise<void> => {
      const those = run
      run = []
      samples = 0
      if (those.length < 2 || this.#isOver()) return
      const all = new ColumnBuilder()
      for (const row of await this.#bodies(those)) all.append(unpackChunk(row))
      const write = packChunks(all.build()).map(chunk => ({ channel, ...chunk }))
      await this.#carryOut({ packs: [], remove: those, write })
    }
    for (const { id, count } of rows) {
      if (count < POOR_SAMPLES) {
        run.push(id)
        samples += count
        if (samples < STEP_SAMPLES) continue
      }
      await joinRun()
    }
    await joinRun()
  }

  async #dropOf(channel: number, beforeMs: number, spans: readonly Source[]): Promise<number> {
    const rows = await this.#pools.sql.rows<Omit<ChunkRow, 'body'>>(
      `SELECT id, channel, from_ms AS "fromMs", to_ms AS "toMs", count FROM chunk WHERE channel = $1 AND from_ms < $2`,
      [channel, beforeMs],
    )
    let dropped = 0
    for (const row of rows) {
      if (this.#isOver()) break
      if (spans.some(span => span.fromMs <= row.fromMs && row.toMs < span.toMs)) continue
      const touched =
        row.toMs >= beforeMs || spans.some(span => span.fromMs <= row.toMs && row.fromMs < span.toMs)
      const [whole] = touched ? await this.#bodies([row.id]) : []
      const left = whole === undefined ? null : remaining(unpackChunk(whole), beforeMs, spans)
      const count = left?.at.length ?? 0
      if (count === row.count) continue
      const write = left === null || count === 0 ? [] : packChunks(left).map(chunk => ({ channel, ...chunk }))
      await this.#carryOut({ packs: [], remove: [row.id], write })
      dropped += row.count - count
    }
    return dropped
  }

  #bodies(ids: readonly number[]): Promise<ChunkRow[]> {
    const text = `SELECT ${CHUNK} FROM chunk WHERE id = ANY ($1::bigint[]) ORDER BY to_ms, from_ms, id`
    return this.#pools.sql.rows<ChunkRow>(text, [numbers(ids)])
  }

  async #carryOut({ packs, remove, write }: Plan): Promise<void> {
    await this.#pools.writing(async sql => {
      if (packs.length > 0) {
        // Alone: nobody may look for a number while it is on its way from the packs to its power-up's ranges.
        await sql.rows(`SELECT pg_advisory_xact_lock(${lockArgs(this.#schema, Lock.packs)})`)
        await noteNumbers(sql, packs)
        const gone = await sql.rows(
          `DELETE FROM pack USING unnest($1::text[]::xid8[], $2::bigint[]) AS x (tx, id)
           WHERE pack.tx = x.tx AND pack.id = x.id RETURNING 1`,
          [packs.map(({ tx }) => tx), numbers(packs.map(({ id }) => id))],
        )
        needAll(gone.length, packs.length)
      }
      if (remove.length > 0) {
        const gone = await sql.rows('DELETE FROM chunk WHERE id = ANY ($1::bigint[]) RETURNING 1', [
          numbers(remove),
        ])
        needAll(gone.length, remove.length)
      }
      for (const { channel, fromMs, toMs, count, body } of write)
        await sql.rows(
          'INSERT INTO chunk (channel, from_ms, to_ms, count, body) VALUES ($1, $2, $3, $4, $5)',
          [channel, fromMs, toMs, count, body],
        )
    })
  }
}

/** The numbers of packs that move stay known by their power-ups. */
async function noteNumbers(sql: Sql, packs: readonly LooseRow[]): Promise<void> {
  const boots = [...new Set(packs.flatMap(({ boot }) => (boot === null ? [] : [boot])))].sort((a, b) => a - b)
  if (boots.length === 0) return
  const rows = await sql.rows<{ id: number; sealed: string }>(
    'SELECT id, sealed::text FROM boot WHERE id = ANY ($1::integer[]) ORDER BY id FOR UPDATE',
    [numbers(boots)],
  )
  for (const { id, sealed } of rows) {
    let ranges: Ranges = rangesFrom(sealed)
    for (const { boot, seq } of packs) if (boot === id && seq !== null) ranges = withValue(ranges, seq)
    await sql.rows('UPDATE boot SET sealed = $1::int8multirange WHERE id = $2', [rangesTo(ranges), id])
  }
}

function needAll(got: number, wanted: number): void {
  if (got === wanted) return
  throw new Error(
    `Cannot pack readings: what was read must still be there, got ${got} of ${wanted}; it is tried again`,
  )
}
