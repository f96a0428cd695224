import type { BatchRow } from '../store/contract.ts'
import { RoomError, RoomErrorKind } from './contract.ts'
import { notAhead } from './moments.ts'
import type { RoomState } from './state.ts'

/** A batch may be written down this long after it was started. */
const LONGEST_AGO_MS = 30 * 86_400_000

/** When a batch was in its vessel. */
export type BatchSpan = Pick<BatchRow, 'vesselId' | 'startedAtMs' | 'endedAtMs'> & { readonly id?: string }

/**
 * Refuses a span that cannot be: ahead of now, over 30 days ago, ending before it begins, or while another batch was in the
 * vessel. `what` is what cannot be done then: "start a batch".
 */
export async function checkSpan(
  state: RoomState,
  span: BatchSpan,
  what: string,
  nowMs: number,
  longestAgoMs = LONGEST_AGO_MS,
): Promise<void> {
  const { startedAtMs, endedAtMs } = span
  notAhead(what, 'start', startedAtMs, nowMs)
  if (startedAtMs < nowMs - longestAgoMs) refuse(what, 'its start is over 30 days ago', 'startedAt')
  if (endedAtMs !== null) {
    notAhead(what, 'end', endedAtMs, nowMs)
    if (endedAtMs < startedAtMs) refuse(what, 'its end lies before its start', 'endedAt')
  }
  const others = await state.parts.store.batches({ vesselId: span.vesselId })
  for (const other of others) {
    if (other.id === span.id) continue
    const isClear =
      (other.endedAtMs !== null && other.endedAtMs <= startedAtMs) ||
      (endedAtMs !== null && endedAtMs <= other.startedAtMs)
    if (isClear) continue
    const isBefore = other.startedAtMs < startedAtMs
    const name = state.vessels.get(span.vesselId)?.row.name ?? 'the vessel'
    if (isBefore) refuse(what, `its start lies before the end of the last batch in ${name}`, 'startedAt')
    refuse(what, `another batch was in ${name} by then`, endedAtMs === null ? 'startedAt' : 'endedAt')
  }
}

function refuse(what: string, rule: string, field: string): never {
  throw new RoomError(RoomErrorKind.invalid, `Cannot ${what}: ${rule}`, field)
}
