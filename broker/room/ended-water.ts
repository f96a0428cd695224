import type { BatchRow, Columns } from '../store/contract.ts'
import type { RoomState } from './state.ts'

/** The water of an ended batch, in so many buckets from its start to its end, and that end, Unix ms. */
export interface EndedWater {
  readonly water: Columns & { readonly points: number }
  readonly toMs: number
}

/** `null` for a batch that is open, or whose vessel had no probe. */
export async function waterOf(
  state: RoomState,
  { vesselId, startedAtMs: fromMs, endedAtMs }: BatchRow,
  points: number,
): Promise<EndedWater | null> {
  if (endedAtMs === null) return null
  const toMs = Math.max(fromMs + 1, endedAtMs)
  const sources = state.routes.sources(vesselId, 'water', fromMs, toMs)
  if (sources.length === 0) return null
  const { water } = await state.parts.store.history({ channels: { water: sources }, fromMs, toMs, points })
  return water ? { water: { ...water, points }, toMs } : null
}
