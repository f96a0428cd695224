import type { BatchEventRow } from '../store/contract.ts'
import type { BatchEvent, BatchEventBody } from './contract.ts'
import type { RoomState } from './state.ts'

/** A batch's log in the order of its time, what was taken back among it. */
export async function readLog(state: RoomState, batchId: string): Promise<BatchEvent[]> {
  return (await state.parts.store.batchEvents(batchId)).map(eventOf)
}

/** The log's entry as the store keeps it, and back. */
export function eventOf({ json, kind, ...row }: BatchEventRow): BatchEvent {
  const body = { kind, ...(JSON.parse(json) as object) } as BatchEventBody
  return { ...row, ...body }
}

export function bodyJson({ kind: _kind, ...rest }: BatchEventBody): string {
  return JSON.stringify(rest)
}
