/** How long without one step is too long for a probe of fine steps. Own choice: noise alone moves the last bit within minutes. */
export const FROZEN_MS = 6 * 3_600_000
/** The same for a probe whose steps are coarse. Own choice: half a degree may well hold for a night. */
export const FROZEN_COARSE_MS = 24 * 3_600_000
/** Steps above this are coarse, °C: a DS18B20 at 12 bits steps by 0.0625, at 9 bits by 0.5 (its datasheet). */
const COARSE_STEP_C = 0.2
/** Fewer readings than this prove nothing, however long they span. Own choice: one in ten minutes. */
const LEAST_READINGS = 36
/** A silence of this length starts the count anew: nobody knows what happened meanwhile. Own choice. */
const SILENCE_MS = 3_600_000

/** Watches one temperature channel for a value that never moves. */
export class Frozen {
  #value = NaN
  #sinceMs = 0
  #lastMs = 0
  #readings = 0
  #finestStep = Infinity

  /** Values in the order of time. True when this one belongs to a frozen stretch. */
  take(value: number, atMs: number): boolean {
    if (value !== this.#value || atMs - this.#lastMs > SILENCE_MS) {
      const step = Math.abs(value - this.#value)
      if (step > 0 && step < this.#finestStep) this.#finestStep = step
      this.#value = value
      this.#sinceMs = atMs
      this.#readings = 0
    }
    this.#lastMs = atMs
    this.#readings++
    const coarse = this.#finestStep !== Infinity && this.#finestStep > COARSE_STEP_C
    return this.#readings >= LEAST_READINGS && atMs - this.#sinceMs >= (coarse ? FROZEN_COARSE_MS : FROZEN_MS)
  }
}
