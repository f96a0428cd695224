/**
 * Falling faster than this is no vessel's water. Own choice: half a litre that stands 15 °C above its room cools by some
 * 0.3 °C a minute; a probe in moving air by several.
 */
export const FALL_C_PER_MIN = 1.5
/** The fall must last this long, so that a glitch does not count. */
export const SUSTAINED_MS = 30_000
/** A fall is looked at in parts of at least this length, and goes on in each at half the rate or more. */
const PART_MS = SUSTAINED_MS / 3
/** Compared over at most this long. */
const LOOK_BACK_MS = 5 * 60_000
/** Back within this of where the fall began is back in the water. Own choice: a batch does not drift further in minutes. */
const BACK_WITHIN_C = 1
/** A rise of this much from the lowest is never masked: heat must not be hidden, wherever the probe hangs. */
const RISE_C = 1
/** This long without a further fall, and the value is what it is: colder water was poured in, or the probe stays out. */
export const SETTLED_MS = 10 * 60_000
/** Less than this is no further fall: two steps of a DS18B20 at 12 bits. */
const FURTHER_FALL_C = 0.125
/** Values remembered, at least a second apart. */
const POINTS = 64

/** Watches one water channel for a probe that was pulled out, or that the water has left. */
export class OutOfWater {
  // A ring of moments and values; the newest stands before #next.
  readonly #atMs = new Float64Array(POINTS)
  readonly #values = new Float64Array(POINTS)
  #next = 0
  #count = 0
  /** Where the water stood when the fall began; `null` while the probe is in the water. */
  #wetC: number | null = null
  #lowestC = 0
  #lowestAtMs = 0

  /** Values in the order of time. True when this one was not measured in the water. */
  take(value: number, atMs: number): boolean {
    if (this.#wetC === null) {
      const wetC = this.#fallenFrom(value, atMs)
      this.#remember(value, atMs)
      if (wetC === null) return false
      this.#wetC = wetC
      this.#lowestC = value
      this.#lowestAtMs = atMs
      return true
    }
    if (value <= this.#lowestC - FURTHER_FALL_C) {
      this.#lowestC = value
      this.#lowestAtMs = atMs
      return true
    }
    const back =
      value >= this.#wetC - BACK_WITHIN_C ||
      value >= this.#lowestC + RISE_C ||
      atMs - this.#lowestAtMs >= SETTLED_MS
    if (!back) return true
    this.#wetC = null
    // What was measured out of the water must not look like a fall, or a start, of the water's.
    this.#count = 0
    this.#remember(value, atMs)
    return false
  }

  #remember(value: number, atMs: number): void {
    const newest = (this.#next + POINTS - 1) % POINTS
    // A second apart at least, so that the ring always reaches back further than a fall must last.
    if (this.#count > 0 && atMs - this.#atMs[newest]! < 1000) return
    this.#atMs[this.#next] = atMs
    this.#values[this.#next] = value
    this.#next = (this.#next + 1) % POINTS
    this.#count = Math.min(this.#count + 1, POINTS)
  }

  /**
   * The level that the value has fallen from, too fast and for long enough; `null` for none. Going back from now the fall
   * must be unbroken: cold water poured in falls at once and then stands.
   */
  #fallenFrom(value: number, atMs: number): number | null {
    let laterC = value
    let laterMs = atMs
    for (let back = 1; back <= this.#count; back++) {
      const index = (this.#next + POINTS - back) % POINTS
      const pointMs = this.#atMs[index]!
      const pointC = this.#values[index]!
      if (atMs - pointMs > LOOK_BACK_MS) return null
      if (laterMs - pointMs < PART_MS) continue
      if (!fell(pointC - laterC, laterMs - pointMs, FALL_C_PER_MIN / 2)) return null
      if (atMs - pointMs >= SUSTAINED_MS && fell(pointC - value, atMs - pointMs, FALL_C_PER_MIN))
        return pointC
      laterC = pointC
      laterMs = pointMs
    }
    return null
  }
}

function fell(fallC: number, forMs: number, ratePerMin: number): boolean {
  return fallC >= (ratePerMin * forMs) / 60_000
}
