import { advance, beginTrace, degHoursAt, timeOfDegHours } from '../hatch/development/development.ts'
import { lotBelief } from '../hatch/lot/belief.ts'
import type { BatchEvidence } from '../hatch/lot/evidence.ts'
import { embryosOf, hatchedOf, requirementOf } from '../hatch/population/population.ts'
import type { BatchRow, Columns } from '../store/contract.ts'
import { evidenceFrom } from './batch-evidence.ts'
import { BatchForecast } from './batch-forecast.ts'
import { findBatch } from './batches.ts'
import { readLog } from './batch-log.ts'
import { inOrder, lotHistory } from './lot-book.ts'
import type { RoomState } from './state.ts'

export interface HatchLineQuery {
  /** The batch's water as it was read already. */
  readonly water: Pick<Columns, 't' | 'mean'>
  readonly toMs: number
  readonly points: number
}

/** A batch's hatch as one line among others: the middle of what is believed of its lot, without bands. Times are Unix ms. */
export interface HatchLine {
  readonly t: readonly number[]
  /** Of the final number, 0 to 1. */
  readonly share: readonly number[]
  /** When a tenth and nine tenths were out; `null` where that was not reached. */
  readonly t10Ms: number | null
  readonly t90Ms: number | null
}

/** A look back takes twenty times as long, for doubts that a line does not show. */
export async function hatchLine(
  state: RoomState,
  id: string,
  { water, toMs, points }: HatchLineQuery,
): Promise<HatchLine> {
  const batch = await findBatch(state, id)
  const { startedAtMs } = batch
  const { history, current } = await seenOf(state, batch)
  const lot = lotBelief(history, current, startedAtMs)
  let trace = beginTrace(startedAtMs)
  water.t.forEach((atMs, at) => (trace = advance(trace, { atMs, waterC: water.mean[at] ?? NaN })))
  const embryos = embryosOf(lot)
  const t = Array.from({ length: points }, (_, at) =>
    Math.round(startedAtMs + ((toMs - startedAtMs) * at) / (points - 1)),
  )
  return {
    t,
    share: t.map(atMs => hatchedOf(embryos, degHoursAt(trace, atMs))),
    t10Ms: timeOfDegHours(trace, requirementOf(lot, 0.1)),
    t90Ms: timeOfDegHours(trace, requirementOf(lot, 0.9)),
  }
}

async function seenOf(
  state: RoomState,
  batch: BatchRow,
): Promise<{ history: BatchEvidence[]; current: BatchEvidence }> {
  const known = batch.lot === null ? null : await lotHistory(state, batch.lot)
  const current =
    known?.get(batch.id) ?? evidenceFrom(batch, await readLog(state, batch), new BatchForecast(batch))
  const before = [...(known ?? [])]
    .filter(([id, evidence]) => id !== batch.id && evidence.startedAtMs <= batch.startedAtMs)
    .map(([, evidence]) => evidence)
  return { history: inOrder(before), current }
}
