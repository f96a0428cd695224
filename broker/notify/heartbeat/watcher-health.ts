/** The watcher counts as out of reach after so many calls in a row that failed, over at least so long, ms. */
const FAILURES = 3
const FAILING_AFTER_MS = 5 * 60_000
/** And as reached again after so many that got through in a row: a line that comes and goes is one alarm, not ten. */
const GOOD = 2

/** Whether the watcher outside is reached, told from how calls end, with a hysteresis. `tell` hears of changes alone. */
export class WatcherHealth {
  readonly #tell: (failure: string | null) => void
  #failures = 0
  #good = 0
  #firstAtMs = 0
  #failing = false

  constructor(tell: (failure: string | null) => void) {
    this.#tell = tell
  }

  get failing(): boolean {
    return this.#failing
  }

  get failuresInARow(): number {
    return this.#failures
  }

  reached(): void {
    this.#failures = 0
    this.#good += 1
    if (this.#failing && this.#good >= GOOD) this.#set(null)
  }

  /** @param nowMs On the monotonic clock. */
  missed(words: string, nowMs: number): void {
    this.#good = 0
    if (this.#failures === 0) this.#firstAtMs = nowMs
    this.#failures += 1
    if (!this.#failing && this.#failures >= FAILURES && nowMs - this.#firstAtMs >= FAILING_AFTER_MS)
      this.#set(words)
  }

  /** It is another watcher from now on, or none. */
  forget(): void {
    this.#failures = 0
    this.#good = 0
    if (this.#failing) this.#set(null)
  }

  #set(failure: string | null): void {
    this.#failing = failure !== null
    this.#tell(failure)
  }
}
