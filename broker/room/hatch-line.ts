import { findBatch } from './batches.ts'
import type { LookBackQuery } from './contract.ts'
import { lookBackAt } from './forecasting.ts'
import type { RoomState } from './state.ts'

export interface HatchLineQuery {
  readonly water: NonNullable<LookBackQuery['water']>
  readonly toMs: number
  readonly points: number
}

/** A batch's hatch as one line among others: the middle of its course, without bands. Times are Unix ms. */
export interface HatchLine {
  readonly t: readonly number[]
  /** Of the final number, 0 to 1. */
  readonly share: readonly number[]
  /** When a tenth and nine tenths were out; `null` where that was not reached. */
  readonly t10Ms: number | null
  readonly t90Ms: number | null
}

/** The same look back as the batch's own page has, so that both tell the same hours. */
export async function hatchLine(
  state: RoomState,
  id: string,
  { water, toMs, points }: HatchLineQuery,
): Promise<HatchLine> {
  const { startedAtMs: fromMs } = await findBatch(state, id)
  const { forecast, course } = await lookBackAt(state, id, { fromMs, toMs, points, water })
  const reached = (atMs: number) => (atMs <= toMs ? atMs : null)
  return {
    t: course.t,
    share: course.hatched.p50,
    t10Ms: reached(forecast.t10.p50),
    t90Ms: reached(forecast.t90.p50),
  }
}
