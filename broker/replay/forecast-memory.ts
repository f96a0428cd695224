import type { BatchForecast } from '../room/batch-forecast.ts'
import type { BatchForecastView } from '../room/views.ts'

/** So many forecasts are remembered, of the batches asked for last: some ten batches of 36 h. */
const MOST = 45_000

/**
 * Forecasts that were made before: they cost most of a replay, and no setting of a rule changes them. (When the water crosses its
 * heat limit is in them too, but rules look for that themselves.)
 */
export class ForecastMemory {
  readonly #batches = new Map<string, Map<number, BatchForecastView>>()
  #count = 0

  readonly of = (development: BatchForecast, nowMs: number, hotC: number): BatchForecastView => {
    const key = keyOf(development)
    const known = this.#batches.get(key) ?? new Map<number, BatchForecastView>()
    // The batch used last is the last to go.
    this.#batches.delete(key)
    this.#batches.set(key, known)
    const made = known.get(nowMs)
    if (made) return made
    const view = development.at(nowMs, hotC)
    known.set(nowMs, view)
    this.#count++
    this.#makeRoom(key)
    return view
  }

  #makeRoom(keep: string): void {
    for (const [key, made] of this.#batches) {
      if (this.#count <= MOST || key === keep) return
      this.#count -= made.size
      this.#batches.delete(key)
    }
  }
}

/** A batch that was corrected is another one. */
function keyOf({ batch }: BatchForecast): string {
  const { id, startedAtMs, litres, cystsG, salinityGpl, goal, lot } = batch
  return JSON.stringify([id, startedAtMs, litres, cystsG, salinityGpl, goal, lot])
}
