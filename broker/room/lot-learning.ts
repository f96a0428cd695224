import type { BatchRow } from '../store/contract.ts'
import { readyLine } from './hatch-line.ts'
import { refreshForecast } from './development-rebuild.ts'
import { keepEvidence, knowledgeFor, lotHistory, readEvidence } from './lot-book.ts'
import type { RoomState } from './state.ts'

/** What a batch showed has changed: it is kept, and every open batch of its lot is forecast anew. */
export async function learnFromBatch(state: RoomState, batch: BatchRow): Promise<void> {
  const evidence = await readEvidence(state, batch)
  if (batch.endedAtMs !== null) await keepEvidence(state, batch, evidence)
  if (batch.lot !== null) (await lotHistory(state, batch.lot)).set(batch.id, evidence)
  state.inBackground('reckoning a batch’s line', readyLine(state, batch), { doneAnew: true })
  const nowMs = state.parts.clock()
  // Those of the lot's later batches rest on it too.
  state.linesAhead.changed(nowMs)
  for (const vessel of state.vessels.values()) {
    const { batch: open, development } = vessel
    if (!open || !development) continue
    if (open.id !== batch.id && (batch.lot === null || open.lot !== batch.lot)) continue
    development.believe(await knowledgeFor(state, open, development))
    if (vessel.development === development) refreshForecast(state, vessel, nowMs)
  }
}
