import type { BatchEventRow, BatchRow } from '../store/contract.ts'
import { bodyJson, eventOf } from './batch-log.ts'
import type { RoomState } from './state.ts'

/** What of a batch can be corrected. */
const FIELDS = ['startedAtMs', 'endedAtMs', 'litres', 'cystsG', 'salinityGpl', 'lot', 'goal', 'note'] as const

/** Writes into the batch's log what was changed of it, so that nothing that was entered is lost. */
export async function noteCorrection(
  state: RoomState,
  before: BatchRow,
  after: BatchRow,
  by: string,
  nowMs: number,
): Promise<void> {
  const changed = FIELDS.filter(field => before[field] !== after[field])
  if (changed.length === 0) return
  const only = (row: BatchRow) => Object.fromEntries(changed.map(field => [field, row[field]]))
  const row: BatchEventRow = {
    id: state.parts.newId(),
    batchId: before.id,
    atMs: nowMs,
    recordedAtMs: nowMs,
    by,
    kind: 'corrected',
    json: bodyJson({ kind: 'corrected', before: only(before), after: only(after) }),
    withdrawnAtMs: null,
  }
  await state.parts.store.keepBatchEvent(row)
  state.tell({ kind: 'batch-event', vesselId: before.vesselId, event: eventOf(row, after) })
}
