import type { SystemFacts } from '../../rules/system/contract.ts'

/** Less than this between two looks is the looks' own unevenness, ms. */
const UNEVEN_MS = 1000

/** Holds the wall clock against a monotonic one. A machine that slept looks like a clock that was set ahead, and is as bad. */
export class ClockWatch {
  readonly #wallMs: () => number
  readonly #monotonicMs: () => number
  #offsetMs: number
  #jump: SystemFacts['clockJump'] = null

  constructor(wallMs: () => number, monotonicMs: () => number) {
    this.#wallMs = wallMs
    this.#monotonicMs = monotonicMs
    this.#offsetMs = wallMs() - monotonicMs()
  }

  /** The last jump there was, or `null`. */
  look(): SystemFacts['clockJump'] {
    const atMs = this.#wallMs()
    const offsetMs = atMs - this.#monotonicMs()
    const byMs = offsetMs - this.#offsetMs
    // Kept abreast at every look, so that slow correction by a time server never adds up to a jump.
    this.#offsetMs = offsetMs
    if (Math.abs(byMs) >= UNEVEN_MS) this.#jump = { byMs, atMs }
    return this.#jump
  }
}
