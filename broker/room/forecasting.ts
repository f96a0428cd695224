import type { HatchCourse } from '../hatch/course.ts'
import type { BatchRow } from '../store/contract.ts'
import { findBatch } from './batches.ts'
import type { BatchForecast } from './batch-forecast.ts'
import type { BatchForecastView, LookBack } from './contract.ts'
import { developmentOf, knowledgeFor } from './lot-book.ts'
import type { RoomState } from './state.ts'

/** The forecast of any batch: as of now while it is open, as of its end afterwards. */
export async function forecastBatch(state: RoomState, id: string): Promise<BatchForecastView> {
  const { development, asOfMs } = await known(state, id)
  return development.at(asOfMs, state.settings.rules['water-too-hot'].limit)
}

/** How any batch went and will go, from its start to past its harvest unless asked otherwise. */
export async function courseOfBatch(
  state: RoomState,
  id: string,
  query: { fromMs?: number; toMs?: number; points: number },
): Promise<HatchCourse> {
  const { development, asOfMs } = await known(state, id)
  return development.course(asOfMs, query)
}

/** A batch's hatch as it is known now: forecast and course by one reckoning. */
export async function lookBackAt(
  state: RoomState,
  id: string,
  query: { fromMs?: number; points: number },
): Promise<LookBack> {
  const { development, asOfMs } = await known(state, id)
  return {
    forecast: development.at(asOfMs, state.settings.rules['water-too-hot'].limit),
    course: development.course(asOfMs, query),
  }
}

/** As it would have been made at a moment of the batch, with what is known of its lot now. */
export async function forecastAt(
  state: RoomState,
  batch: BatchRow,
  atMs: number,
): Promise<BatchForecastView> {
  const { development } = await known(state, batch.id)
  return development.at(atMs, state.settings.rules['water-too-hot'].limit)
}

async function known(state: RoomState, id: string): Promise<{ development: BatchForecast; asOfMs: number }> {
  const nowMs = state.parts.clock()
  const batch: BatchRow = await findBatch(state, id)
  const development = await developmentOf(state, batch)
  development.believe(await knowledgeFor(state, batch, development))
  return { development, asOfMs: batch.endedAtMs ?? nowMs }
}
