import type { Sample } from '../store/contract.ts'
import { BatchForecast, BEFORE_START_MS } from './batch-forecast.ts'
import { knowledgeFor } from './lot-book.ts'
import type { RoomState } from './state.ts'
import type { VesselLive } from './vessel-live.ts'

/**
 * Reads the open batch's water from the store and takes it in anew: after a start, after readings that came out of order,
 * and when a batch starts in the past. What arrives while the store reads is taken in after it.
 */
export async function rebuildDevelopment(state: RoomState, vessel: VesselLive): Promise<void> {
  const { batch } = vessel
  vessel.outOfOrder = false
  if (!batch) {
    vessel.development = null
    vessel.forecast = null
    return
  }
  const meanwhile: Sample[] = []
  vessel.arrivedMeanwhile = meanwhile
  try {
    const nowMs = state.parts.clock()
    const development = new BatchForecast(batch)
    const sources = state.routes.sources(
      vessel.row.id,
      'water',
      batch.startedAtMs - BEFORE_START_MS,
      Number.MAX_SAFE_INTEGER,
    )
    for (const sample of await state.parts.store.samples(sources)) development.take(sample)
    const knowledge = await knowledgeFor(state, batch, development)
    for (const sample of meanwhile) development.take(sample)
    development.believe(knowledge)
    if (vessel.batch?.id !== batch.id) return
    vessel.development = development
    refreshForecast(state, vessel, nowMs)
  } finally {
    if (vessel.arrivedMeanwhile === meanwhile) vessel.arrivedMeanwhile = null
  }
}

/** Computes the vessel's forecast as of now and tells it. */
export function refreshForecast(state: RoomState, vessel: VesselLive, nowMs: number): void {
  const { development } = vessel
  const hotC = state.settings.rules['water-too-hot'].limit
  const { forecastOf = (of, atMs, limitC) => of.at(atMs, limitC) } = state.parts
  vessel.forecast = development && forecastOf(development, nowMs, hotC)
  vessel.forecastAtMs = nowMs
  state.tell({ kind: 'forecast', vesselId: vessel.row.id, forecast: vessel.forecast })
}
