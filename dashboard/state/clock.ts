/**
 * The broker's clock as seen from this page: set by each message, carried on by the page's own monotonic clock, which
 * does not jump when the machine's wall clock is corrected. A demo's clock runs faster than real time.
 */
export class RoomClock {
  #anchorMs = 0
  #anchorMonotonicMs = 0
  #speed = 1
  readonly #monotonic: () => number

  constructor(monotonic: () => number) {
    this.#monotonic = monotonic
  }

  /** `nowMs` is the broker's, Unix ms. A speed left out keeps the one before. */
  set(nowMs: number, speed = this.#speed): void {
    this.#anchorMs = nowMs
    this.#anchorMonotonicMs = this.#monotonic()
    this.#speed = speed
  }

  get speed(): number {
    return this.#speed
  }

  /** Unix ms; 0 before the first message. */
  nowMs(): number {
    if (this.#anchorMs === 0) return 0
    return this.#anchorMs + (this.#monotonic() - this.#anchorMonotonicMs) * this.#speed
  }

  /** How long ago, in real time, the broker last said anything, ms. */
  sinceHeardMs(): number {
    return this.#anchorMs === 0 ? 0 : this.#monotonic() - this.#anchorMonotonicMs
  }
}
