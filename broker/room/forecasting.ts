import { setImmediate } from 'node:timers/promises'
import type { HatchCourse } from '../hatch/course.ts'
import { Quality } from '../intake/reading.ts'
import type { BatchRow, Columns } from '../store/contract.ts'
import { findBatch } from './batches.ts'
import { BatchForecast } from './batch-forecast.ts'
import type { BatchForecastView, LookBack, LookBackQuery } from './views.ts'
import { expectedThen } from './expected-then.ts'
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

/** Buckets of the water further apart than this would be taken for gaps, ms. */
const CLOSE_MS = 5 * 60_000

/**
 * A batch's hatch as it is known now: forecast, course and what was expected of its water, by one reckoning. Of an ended batch
 * the water that was read for its curves serves, where it is close enough: all its samples would take ten times as long and tell
 * the same to some minutes.
 */
export async function lookBackOf(
  state: RoomState,
  batch: BatchRow,
  { water, toMs, points }: LookBackQuery,
): Promise<LookBack> {
  const { development, asOfMs } = await knownBy(state, batch.id, water)
  const forecast = development.at(asOfMs, state.settings.rules['water-too-hot'].limit)
  // Each part takes some 20 ms: what else waits goes between.
  await setImmediate()
  const course = development.course(asOfMs, { points })
  await setImmediate()
  const { startedAtMs: fromMs, litres } = batch
  return { forecast, course, expectedWater: expectedThen(water, { litres, fromMs, toMs }) }
}

/** The batch's development with all that is known now, by its water as it was read for its curves where that is close enough. */
export async function knownBy(
  state: RoomState,
  id: string,
  water: LookBackQuery['water'],
): Promise<{ development: BatchForecast; asOfMs: number }> {
  const batch = await findBatch(state, id)
  const { endedAtMs, startedAtMs } = batch
  const close = water && endedAtMs !== null && (endedAtMs - startedAtMs) / water.points <= CLOSE_MS
  return known(state, id, close ? fedBy(batch, water) : undefined)
}

function fedBy(batch: BatchRow, { t, mean }: Pick<Columns, 't' | 'mean'>): BatchForecast {
  const development = new BatchForecast(batch)
  t.forEach((atMs, at) => development.take({ atMs, value: mean[at] ?? null, quality: Quality.good }))
  return development
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

async function known(
  state: RoomState,
  id: string,
  fed?: BatchForecast,
): Promise<{ development: BatchForecast; asOfMs: number }> {
  const nowMs = state.parts.clock()
  const batch: BatchRow = await findBatch(state, id)
  const development = fed ?? (await developmentOf(state, batch))
  development.believe(await knowledgeFor(state, batch, development))
  return { development, asOfMs: batch.endedAtMs ?? nowMs }
}
