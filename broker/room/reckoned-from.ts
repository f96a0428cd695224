import { createHash } from 'node:crypto'
import type { BatchRow } from '../store/contract.ts'
import { PROGRAM } from '../version.ts'
import { lotEarlier } from './lot-book.ts'
import type { RoomState } from './state.ts'

/**
 * A digest of all that the hatch of an ended batch is reckoned from, what was asked among it: what was reckoned holds for as long as
 * that stays. Another program may reckon otherwise.
 */
export async function reckonedFrom(state: RoomState, batch: BatchRow, asked: unknown): Promise<string> {
  const [log, earlier] = await Promise.all([
    state.parts.store.batchEvents(batch.id),
    lotEarlier(state, batch),
  ])
  return createHash('sha256')
    .update(JSON.stringify([PROGRAM, batch, log, earlier, asked]))
    .digest('base64')
}
