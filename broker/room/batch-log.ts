import { CountError } from '../hatch/counts/errors.ts'
import { estimateCount, type CountEstimate } from '../hatch/counts/estimate.ts'
import type { BatchEventRow, BatchRow } from '../store/contract.ts'
import type { BatchEvent, BatchEventBody } from './event-contract.ts'
import type { RoomState } from './state.ts'

/** A batch's log in the order of its time, what was taken back among it. */
export async function readLog(state: RoomState, batch: BatchRow): Promise<BatchEvent[]> {
  return (await state.parts.store.batchEvents(batch.id)).map(row => eventOf(row, batch))
}

/** The log's entry as the store keeps it, and back. */
export function eventOf({ json, kind, ...row }: BatchEventRow, batch: BatchRow): BatchEvent {
  const body = { kind, ...(JSON.parse(json) as object) } as BatchEventBody
  return { ...row, ...body, estimate: body.kind === 'count' ? estimateOf(body, batch) : null }
}

export function rowOf(event: BatchEvent): BatchEventRow {
  const { id, batchId, atMs, recordedAtMs, by, withdrawnAtMs, estimate, ...body } = event
  // What a count says is reckoned anew from its samples each time.
  void estimate
  const { kind } = body
  return { id, batchId, atMs, recordedAtMs, by, kind, json: bodyJson(body), withdrawnAtMs }
}

export function bodyJson({ kind: _kind, ...rest }: BatchEventBody): string {
  return JSON.stringify(rest)
}

/** What the samples say of all that was sampled; `null` when it is more water than is written down for it. */
function estimateOf(
  { samples, drawnOffMl }: Extract<BatchEventBody, { kind: 'count' }>,
  { litres, cystsG }: BatchRow,
): CountEstimate | null {
  try {
    return estimateCount({ litres, drawnOffMl, cystsG, samples })
  } catch (error) {
    if (error instanceof CountError) return null
    throw error
  }
}
