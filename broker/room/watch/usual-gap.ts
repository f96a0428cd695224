/** What comes within so long of the last counts as the same hearing, ms: a pack for each sensor, or one a second. */
const SAME_MS = 5000
const KEPT = 5

/** How far apart a device is usually heard. Fixed in size. */
export class UsualGap {
  #countedAtMs: number | null = null
  #gapsMs: number[] = []

  hear(atMs: number): void {
    const sinceMs = atMs - (this.#countedAtMs ?? atMs)
    if (this.#countedAtMs !== null && sinceMs < SAME_MS) return
    if (this.#countedAtMs !== null) this.#gapsMs = [...this.#gapsMs.slice(1 - KEPT), sinceMs]
    this.#countedAtMs = atMs
  }

  /** The clock was set back by `byMs`, below 0. */
  setBack(byMs: number): void {
    if (this.#countedAtMs !== null) this.#countedAtMs += byMs
  }

  /** The longest gap of late but one, ms: a single one may have been an outage. `null` before two are known. */
  get ms(): number | null {
    return this.#gapsMs.length < 2 ? null : ([...this.#gapsMs].sort((a, b) => b - a)[1] ?? null)
  }
}
