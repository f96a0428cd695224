import type { BatchRow } from '../store/contract.ts'
import { findBatch } from './batches.ts'
import type { LookBackQuery } from './views.ts'
import { knownBy } from './forecasting.ts'
import { reckonedFrom } from './reckoned-from.ts'
import type { RoomState } from './state.ts'
import { waterOf } from './ended-water.ts'

export interface HatchLineQuery {
  readonly water: NonNullable<LookBackQuery['water']>
  readonly toMs: number
  readonly points: number
}

/** A batch's hatch as one line among others: the middle of its course, without bands. Times are Unix ms. */
export interface HatchLine {
  readonly t: readonly number[]
  /** Of the final number, 0 to 1. */
  readonly share: readonly number[]
  /** When a tenth and nine tenths were out; `null` where that was not reached. */
  readonly t10Ms: number | null
  readonly t90Ms: number | null
}

/** A line has so many moments. */
export const LINE_POINTS = 48
/** The water is read this densely, ms: further apart its buckets would be taken for gaps. */
const DENSE_MS = 4 * 60_000
/** And in no fewer buckets than anybody draws of it, nor in more than this. */
export const LEAST_BUCKETS = 400
const MOST_BUCKETS = 1500

/** In how many buckets a batch is read for its line. */
export function bucketsOf(spanMs: number): number {
  return Math.min(MOST_BUCKETS, Math.max(LEAST_BUCKETS, Math.ceil(spanMs / DENSE_MS)))
}

/**
 * The same hours as the batch's own page has. Reckoning a line takes some 20 ms, and forty are asked for at once, so that of an
 * ended batch is kept, one small document a batch, with a digest of all that it was reckoned from: when any of that changes, it is
 * reckoned anew.
 */
export async function hatchLine(state: RoomState, id: string, query: HatchLineQuery): Promise<HatchLine> {
  const batch = await findBatch(state, id)
  if (batch.endedAtMs === null) return reckoned(state, batch, query)
  const key = `hatch-line:${id}`
  const { store } = state.parts
  const [from, json] = await Promise.all([reckonedFrom(state, batch, query), store.document(key)])
  const kept = json === undefined ? null : (JSON.parse(json) as { from: string; line: HatchLine })
  if (kept?.from === from) return kept.line
  const line = await reckoned(state, batch, query)
  state.inBackground('keeping a batch’s line', store.keepDocument(key, JSON.stringify({ from, line })), {
    doneAnew: true,
  })
  return line
}

async function reckoned(state: RoomState, batch: BatchRow, { water, toMs, points }: HatchLineQuery) {
  const { development, asOfMs } = await knownBy(state, batch.id, water)
  const { t, share, t10Ms, t90Ms } = development.line(asOfMs, { fromMs: batch.startedAtMs, toMs, points })
  const reached = (atMs: number) => (atMs <= toMs ? atMs : null)
  return { t, share, t10Ms: reached(t10Ms), t90Ms: reached(t90Ms) }
}

/** Reckons the line of a batch that has ended, so that it is there when it is asked for. */
export async function readyLine(state: RoomState, batch: BatchRow): Promise<void> {
  if (batch.endedAtMs === null) return
  const read = await waterOf(state, batch, bucketsOf(batch.endedAtMs - batch.startedAtMs))
  if (read?.water.t.length) await hatchLine(state, batch.id, { ...read, points: LINE_POINTS })
}
