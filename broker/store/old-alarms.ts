import type { Clock } from '../clock.ts'

/** How long an ended alarm is kept: two years. */
const ENDED_ALARMS_KEPT_MS = 2 * 365.25 * 86_400_000
/** How often old alarms are looked for. */
const DROP_ENDED_EVERY_MS = 86_400_000

/** Has alarms that ended long ago dropped, once a day at most. Without a clock none is. */
export class OldAlarms {
  readonly #clock: Clock | null
  readonly #dropBefore: (ms: number) => void
  #droppedAtMs = -Infinity

  constructor(clock: Clock | null, dropBefore: (ms: number) => void) {
    this.#clock = clock
    this.#dropBefore = dropBefore
  }

  dropIfDue(): void {
    const nowMs = this.#clock?.()
    if (nowMs === undefined || nowMs - this.#droppedAtMs < DROP_ENDED_EVERY_MS) return
    this.#droppedAtMs = nowMs
    this.#dropBefore(nowMs - ENDED_ALARMS_KEPT_MS)
  }
}
