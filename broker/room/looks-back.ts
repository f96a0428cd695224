import type { BatchRow } from '../store/contract.ts'
import type { LookBack, LookBackQuery } from './views.ts'
import { lookBackOf } from './forecasting.ts'
import { findBatch } from './batches.ts'
import { waterOf } from './ended-water.ts'
import { reckonedFrom } from './reckoned-from.ts'
import type { RoomState } from './state.ts'

/** So many are kept, some 40 kB each; the one asked for longest ago makes room. */
const MOST_KEPT = 32
/** In how many buckets the water of a batch is read for its page: about one a pixel of a wide screen. */
export const LOOK_BACK_BUCKETS = 2000
/** Of its course. */
export const LOOK_BACK_POINTS = 200

interface Kept {
  readonly from: string
  readonly made: Promise<LookBack>
}

/**
 * Ended batches as they were looked back at last. Reckoning one holds all that is watched for some 60 ms, and a batch that died is
 * looked at again and again: it is reckoned anew when anything has changed that it rests on.
 */
export class LooksBack {
  readonly #kept = new Map<string, Kept>()

  async of(state: RoomState, id: string, query: LookBackQuery): Promise<LookBack> {
    const batch = await findBatch(state, id)
    if (batch.endedAtMs === null) return lookBackOf(state, batch, query)
    const from = await reckonedFrom(state, batch, [query, state.settings.rules['water-too-hot'].limit])
    const kept = this.#kept.get(id)
    const made = kept?.from === from ? kept.made : lookBackOf(state, batch, query)
    this.#kept.delete(id)
    this.#kept.set(id, { from, made })
    made.catch(() => this.#kept.delete(id))
    if (this.#kept.size > MOST_KEPT) this.#kept.delete(this.#kept.keys().next().value ?? id)
    return made
  }

  /** Reckons what an ended batch is looked back at with, so that it is there when it is asked for. */
  async ready(state: RoomState, batch: BatchRow): Promise<void> {
    const read = await waterOf(state, batch, LOOK_BACK_BUCKETS)
    if (read) await this.of(state, batch.id, { ...read, points: LOOK_BACK_POINTS })
  }
}
