import { unpackChunk } from '../codec/chunk.ts'
import { readPack } from '../codec/pack-body.ts'
import type { Sql } from './sql.ts'
import { beyond, type Position } from './position.ts'

export interface ChunkRow {
  readonly id: number
  readonly channel: number
  readonly fromMs: number
  readonly toMs: number
  readonly count: number
  readonly body: Uint8Array
}

/** A pack as it came, not in a chunk yet. */
export interface LooseRow {
  readonly tx: string
  readonly id: number
  readonly boot: number | null
  readonly seq: number | null
  readonly receivedMs: number
  readonly body: Uint8Array
}

export const CHUNK = `id, channel, from_ms AS "fromMs", to_ms AS "toMs", count, body`
const LOOSE = `tx::text, id, boot, seq, received_ms AS "receivedMs", body`
/** Rows fetched at once: between these steps others have their turn. */
const STEP_ROWS = 256

/** A statement's rows, some at a time; within a transaction. */
export async function* stepwise<R>(sql: Sql, text: string, values: readonly unknown[]): AsyncGenerator<R[]> {
  await sql.rows(`DECLARE step NO SCROLL CURSOR FOR ${text}`, values)
  for (;;) {
    const rows = await sql.rows<R>(`FETCH ${STEP_ROWS} FROM step`)
    if (rows.length > 0) yield rows
    if (rows.length < STEP_ROWS) break
  }
  await sql.rows('CLOSE step')
}

/** A channel's packed samples that overlap the span, whole chunks in the order of their ends. */
export async function* chunksOf(sql: Sql, channel: number, fromMs: number, toMs: number) {
  const text = `SELECT ${CHUNK} FROM chunk WHERE channel = $1 AND to_ms >= $2 AND from_ms < $3 ORDER BY to_ms, id`
  for await (const rows of stepwise<ChunkRow>(sql, text, [channel, fromMs, toMs]))
    for (const row of rows) yield unpackChunk(row)
}

/** The loose packs of a device that overlap the span, in the order in which they came; up to a position, where one is given. */
export async function* looseOf(
  sql: Sql,
  speaker: number,
  fromMs: number,
  toMs: number,
  upTo: Position | null,
): AsyncGenerator<LooseRow> {
  const text = `SELECT ${LOOSE} FROM pack WHERE speaker = $1 AND to_ms >= $2 AND from_ms < $3 AND NOT ${beyond('$4', '$5')}
    ORDER BY tx, pack.id`
  const values = [speaker, fromMs, toMs, upTo?.tx ?? null, upTo?.id ?? null]
  for await (const rows of stepwise<LooseRow>(sql, text, values)) yield* rows
}

/** Every loose pack, whoever sent it. */
export async function* allLoose(sql: Sql, upTo: Position | null): AsyncGenerator<LooseRow> {
  const text = `SELECT ${LOOSE} FROM pack WHERE NOT ${beyond('$1', '$2')} ORDER BY tx, pack.id`
  for await (const rows of stepwise<LooseRow>(sql, text, [upTo?.tx ?? null, upTo?.id ?? null])) yield* rows
}

export function eachReading(
  { body, receivedMs }: Pick<LooseRow, 'body' | 'receivedMs'>,
  each: (channel: number, at: number, value: number, mark: number) => void,
): void {
  readPack(body, receivedMs, each)
}
