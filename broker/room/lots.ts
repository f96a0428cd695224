import { lotSummary } from '../hatch/lot/summary.ts'
import type { LotView } from './views.ts'
import { inOrder, lotHistory } from './lot-book.ts'
import type { RoomState } from './state.ts'

/** So many lots are listed, those used last. */
const MOST_LOTS = 100

/** The lots that batches were started from, the one used last first, with what is known of each. */
export async function listLots(state: RoomState): Promise<LotView[]> {
  const nowMs = state.parts.clock()
  const lots: LotView[] = []
  for (const { name, batches, lastUsedAtMs } of (await state.parts.store.lots()).slice(0, MOST_LOTS)) {
    const history = inOrder((await lotHistory(state, name)).values())
    lots.push({ name, batches, lastUsedAtMs, summary: lotSummary(history, nowMs) })
  }
  return lots
}
