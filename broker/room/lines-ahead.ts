import { readyLine } from './hatch-line.ts'
import type { RoomState } from './state.ts'

/** So many of the newest batches have their lines ready: twice what is looked at side by side at once. */
const MOST = 80
/** And so many all that their own page takes. */
const MOST_LOOKED_BACK = 12
/** What people write down comes in bursts: lines are looked at anew once it has been quiet for so long, ms. */
const QUIET_MS = 20_000

/**
 * Hatch lines of ended batches, and what the pages of the newest take, reckoned before anybody asks: after a start, for an old store or another version keeps none that
 * holds, and when what they rest on has changed. One a call, so that no alarm waits behind forty of them.
 */
export class LinesAhead {
  #queue: { readonly id: string; readonly lookBack: boolean }[] = []
  /** When they are listed anew, Unix ms; `null` while nothing has changed. */
  #dueMs: number | null = 0
  #working = false

  /** What lines rest on has changed. */
  changed(nowMs: number): void {
    this.#dueMs = nowMs + QUIET_MS
  }

  /** Takes one step, unless the one before is still under way. To be called about once a second. */
  look(state: RoomState): void {
    if (this.#working) return
    const nowMs = state.parts.clock()
    // A clock that was set back must not keep them waiting for as long.
    const due = this.#dueMs !== null && (nowMs >= this.#dueMs || this.#dueMs - nowMs > QUIET_MS)
    if (!due && this.#queue.length === 0) return
    this.#working = true
    const step = due ? this.#list(state) : this.#next(state)
    state.inBackground(
      'reckoning lines ahead',
      step.finally(() => {
        this.#working = false
      }),
      { doneAnew: true },
    )
  }

  async #list(state: RoomState): Promise<void> {
    this.#dueMs = null
    const batches = await state.parts.store.batches({ limit: MOST })
    const ended = batches.filter(({ endedAtMs }) => endedAtMs !== null)
    this.#queue = [
      ...ended.slice(0, MOST_LOOKED_BACK).map(({ id }) => ({ id, lookBack: true })),
      ...ended.map(({ id }) => ({ id, lookBack: false })),
    ]
  }

  async #next(state: RoomState): Promise<void> {
    const step = this.#queue.shift()
    const batch = step && (await state.parts.store.batch(step.id))
    if (batch) await (step.lookBack ? state.looksBack.ready(state, batch) : readyLine(state, batch))
  }
}
