import type { BatchEvidence } from '../hatch/lot/evidence.ts'
import type { BatchRow } from '../store/contract.ts'
import { evidenceFrom } from './batch-evidence.ts'
import { BatchForecast, BEFORE_START_MS, type Knowledge } from './batch-forecast.ts'
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
  return { history: await lotEarlier(state, batch), current }
}

/**
 * What the lot's batches before this one showed, oldest first. What a lot was like before is carried over to its next batches, not
 * the other way round: it drifts while it is kept.
 */
export async function lotEarlier(
  state: RoomState,
  { id, lot, startedAtMs }: BatchRow,
): Promise<BatchEvidence[]> {
  if (lot === null) return []
  const others = [...(await lotHistory(state, lot))]
    .filter(([otherId, evidence]) => otherId !== id && evidence.startedAtMs <= startedAtMs)
    .map(([, evidence]) => evidence)
  return inOrder(others)
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
  for (const sample of await state.parts.store.samples(sources)) development.take(sample)
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
