import { HOUR_MS } from '../../hatch/units.ts'
import type { LevelCourse } from '../../rules/contract.ts'

/** Bubbles heave the surface: readings are gathered into medians of this length, ms. */
const SLOT_MS = 30_000
/** A slot takes so many readings; more tell no more. */
const PER_SLOT = 10
/** The water stood where it was through so many medians. */
const STOOD = 4
/** The pace is read off this many medians, ten minutes. */
const PACE = 20
/** A rise or fall of less than this, share of a full vessel, over that time is scatter and evaporation. Own choice. */
const LEAST_FALL = 0.01

interface Slot {
  readonly slot: number
  readonly value: number
}

/** Follows how high the water of one vessel stands. Fixed in size. */
export class LevelWatch {
  #slots: Slot[] = []
  #open = NaN
  #values: number[] = []
  #stood = NaN
  #fromMs = -Infinity
  #course: LevelCourse | null = null

  /** From this moment on it is another filling: what stood before counts no more. */
  anew(fromMs: number): void {
    if (!(fromMs > this.#fromMs)) return
    this.#fromMs = fromMs
    if ((this.#slots[0]?.slot ?? this.#open) * SLOT_MS >= fromMs) return
    this.#slots = []
    this.#values = []
    this.#open = this.#stood = NaN
    this.#course = null
  }

  /** The next good reading, share of a full vessel. True when {@link course} may have changed. */
  take(atMs: number, level: number): boolean {
    const slot = Math.floor(atMs / SLOT_MS)
    if (atMs < this.#fromMs || slot < this.#open) return false
    const isNew = slot !== this.#open
    const closed = isNew && this.#close()
    if (isNew) {
      this.#open = slot
      this.#values = []
    }
    if (this.#values.length < PER_SLOT) this.#values.push(level)
    return closed
  }

  get course(): LevelCourse | null {
    return this.#course
  }

  #close(): boolean {
    if (this.#values.length === 0) return false
    this.#slots.push({ slot: this.#open, value: medianOf(this.#values) })
    while (this.#slots.length > PACE) this.#slots.shift()
    const last = this.#slots.slice(-STOOD).map(({ value }) => value)
    if (last.length < STOOD) return false
    const least = Math.min(...last)
    if (!(this.#stood >= least)) this.#stood = least
    this.#course = { now: medianOf(last.slice(-2)), stood: this.#stood, fallPerH: this.#pace() }
    return true
  }

  /** Of the middles of the older and of the newer half, so that no single median decides. */
  #pace(): number {
    const half = this.#slots.length >> 1
    const [older, newer] = [this.#slots.slice(0, half), this.#slots.slice(half)]
    const fell = middleOf(older, ({ value }) => value) - middleOf(newer, ({ value }) => value)
    const hours =
      ((middleOf(newer, ({ slot }) => slot) - middleOf(older, ({ slot }) => slot)) * SLOT_MS) / HOUR_MS
    return fell >= LEAST_FALL && hours > 0 ? fell / hours : 0
  }
}

const middleOf = (slots: readonly Slot[], of: (slot: Slot) => number): number => medianOf(slots.map(of))

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  const upper = sorted[half] ?? NaN
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? upper) + upper) / 2
}
