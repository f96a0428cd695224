import type { BatchEvidence } from '../hatch/lot/evidence.ts'
import type { BatchRow } from '../store/contract.ts'
import { eachInTurns } from '../turns.ts'
import { evidenceFrom } from './batch-evidence.ts'
import { findBatch } from './batches.ts'
import { BatchForecast, BEFORE_START_MS, type Knowledge, type NewestSeen } from './batch-forecast.ts'
import { readLog } from './batch-log.ts'
import type { RoomState } from './state.ts'

/** A lot is judged by so many of its newest batches. */
export const BATCHES_OF_A_LOT = 50

/**
 * What was seen of each lot's batches, as far as an open batch or a question has needed it: lot -> batch -> evidence.
 * It can be made anew from the store at any time.
 */
export class LotBook {
  readonly #lots = new Map<string, Map<string, BatchEvidence>>()

  known(lot: string): Map<string, BatchEvidence> | undefined {
    return this.#lots.get(lot)
  }
  open(lot: string, batches: Map<string, BatchEvidence>): void {
    this.#lots.set(lot, batches)
  }
  /** A batch was moved out of it: it is read anew when it is next needed. */
  forget(lot: string): void {
    this.#lots.delete(lot)
  }
}

/** What a batch's forecast rests on: the evidence of the lot's other batches, and the batch's own. */
export async function knowledgeFor(
  state: RoomState,
  batch: BatchRow,
  development: BatchForecast,
): Promise<Knowledge> {
  const current = evidenceFrom(batch, await readLog(state, batch), development)
  const earlier = await earlierOf(state, batch)
  const history = inOrder(earlier.map(([, evidence]) => evidence))
  const newest = await newestOf(state, earlier, current)
  return newest ? { history, current, newest } : { history, current }
}

/** What was seen last of all, and what was known without it. A batch's own harvest moves nothing that is still to be done. */
async function newestOf(
  state: RoomState,
  earlier: readonly (readonly [string, BatchEvidence])[],
  current: BatchEvidence,
): Promise<NewestSeen | null> {
  const all = [
    ...earlier.flatMap(([id, { items }]) => items.map(item => ({ id, item }))),
    ...current.items.map(item => ({ id: null, item })),
  ]
  const [first] = all
  if (!first) return null
  const { id, item } = all.reduce((a, b) => (b.item.atMs >= a.item.atMs ? b : a), first)
  if (id === null && item.kind === 'count' && item.harvest) return null
  const less = (evidence: BatchEvidence) => ({
    ...evidence,
    items: evidence.items.filter(one => one !== item),
  })
  return {
    kind: item.kind,
    atMs: item.atMs,
    vesselId: id === null ? null : (await findBatch(state, id)).vesselId,
    without: { history: inOrder(earlier.map(([, evidence]) => less(evidence))), current: less(current) },
  }
}

/**
 * What the lot's batches before this one showed, oldest first. What a lot was like before is carried over to its next batches, not
 * the other way round: it drifts while it is kept.
 */
export async function lotEarlier(state: RoomState, batch: BatchRow): Promise<BatchEvidence[]> {
  return inOrder((await earlierOf(state, batch)).map(([, evidence]) => evidence))
}

async function earlierOf(
  state: RoomState,
  { id, lot, startedAtMs }: BatchRow,
): Promise<readonly (readonly [string, BatchEvidence])[]> {
  if (lot === null) return []
  return [...(await lotHistory(state, lot))].filter(
    ([otherId, evidence]) => otherId !== id && evidence.startedAtMs <= startedAtMs,
  )
}

/** The evidence of a lot's batches by their ids, read from the store at the first question. */
export async function lotHistory(state: RoomState, lot: string): Promise<Map<string, BatchEvidence>> {
  const known = state.lots.known(lot)
  if (known) return known
  const batches = new Map<string, BatchEvidence>()
  for (const batch of await state.parts.store.batches({ lot, limit: BATCHES_OF_A_LOT })) {
    batches.set(batch.id, (await keptEvidence(state, batch)) ?? (await readEvidence(state, batch)))
  }
  state.lots.open(lot, batches)
  return batches
}

/** Oldest first, as the model takes it. */
export function inOrder(history: Iterable<BatchEvidence>): BatchEvidence[] {
  return [...history].sort((a, b) => a.startedAtMs - b.startedAtMs)
}

/** Reckons what a batch showed from its log and its water. */
export async function readEvidence(state: RoomState, batch: BatchRow): Promise<BatchEvidence> {
  const events = await readLog(state, batch)
  // Without an observation the water need not be read.
  const development = events.length === 0 ? new BatchForecast(batch) : await developmentOf(state, batch)
  return evidenceFrom(batch, events, development)
}

/** The batch's development as it stands, or read anew from the store. */
export async function developmentOf(state: RoomState, batch: BatchRow): Promise<BatchForecast> {
  const live = state.vessels.get(batch.vesselId)
  if (live?.batch?.id === batch.id && live.development && !live.outOfOrder) return live.development
  const untilMs = batch.endedAtMs === null ? Number.MAX_SAFE_INTEGER : batch.endedAtMs + 1
  const sources = state.routes.sources(batch.vesselId, 'water', batch.startedAtMs - BEFORE_START_MS, untilMs)
  const development = new BatchForecast(batch)
  await eachInTurns(await state.parts.store.samples(sources), sample => development.take(sample))
  return development
}

// What an ended batch showed outlives its readings, which are dropped with age, and need not be reckoned at every start.
export const evidenceKey = (batch: Pick<BatchRow, 'id'>) => `evidence:${batch.id}`

export async function keepEvidence(
  state: RoomState,
  batch: BatchRow,
  evidence: BatchEvidence,
): Promise<void> {
  await state.parts.store.keepDocument(evidenceKey(batch), JSON.stringify(evidence))
}

async function keptEvidence(state: RoomState, batch: BatchRow): Promise<BatchEvidence | null> {
  if (batch.endedAtMs === null) return null
  const json = await state.parts.store.document(evidenceKey(batch))
  return json === undefined ? null : (JSON.parse(json) as BatchEvidence)
}
