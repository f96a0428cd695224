import { medianOf, type Slot } from './steady-fall.ts'

/** A slot takes so many readings; more tell no more. */
const PER_SLOT = 30

/** Gathers readings into medians of one length, the newest `most` of them. */
export class AirSlots {
  readonly #slotMs: number
  readonly #most: number
  #slots: Slot[] = []
  #open = NaN
  #values: number[] = []
  #fullUntilMs = -Infinity

  constructor(slotMs: number, most: number) {
    this.#slotMs = slotMs
    this.#most = most
  }

  get closed(): readonly Slot[] {
    return this.#slots
  }

  /** When the newest closed one ended, Unix ms; NaN before the first. */
  get closedMs(): number {
    return ((this.#slots.at(-1)?.slot ?? NaN) + 1) * this.#slotMs
  }

  /** The next good reading. True when a median was closed by it. */
  take(atMs: number, value: number): boolean {
    // Mostly a reading of a slot that has its fill.
    if (atMs < this.#fullUntilMs) return false
    const slot = Math.floor(atMs / this.#slotMs)
    if (slot < this.#open) return false
    let closed = false
    if (slot !== this.#open) {
      closed = this.#close()
      this.#open = slot
      this.#values = []
    }
    this.#values.push(value)
    if (this.#values.length >= PER_SLOT) this.#fullUntilMs = (slot + 1) * this.#slotMs
    return closed
  }

  /** The median of the newest closed ones that lie within so many slots. */
  newest(count: number): number {
    const last = this.#slots.at(-1)?.slot ?? NaN
    return medianOf(this.#slots.filter(({ slot }) => slot > last - count).map(({ value }) => value))
  }

  #close(): boolean {
    if (this.#values.length === 0) return false
    this.#slots.push({ slot: this.#open, value: medianOf(this.#values) })
    const oldest = this.#open - this.#most
    while ((this.#slots[0]?.slot ?? Infinity) <= oldest) this.#slots.shift()
    return true
  }
}
