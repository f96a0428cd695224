import { HOUR_MS } from '../../hatch/units.ts'
import type { AirCourse } from '../../rules/contract.ts'

/** Readings are gathered into medians of this length, ms: a gust of bubbles and a kinked moment fall out. */
const SLOT_MS = 5 * 60_000
/** So many medians are kept, ten hours: a slower fall is a thing for the day's work and is seen as it goes on. */
const SLOTS = 120
/** A slot takes so many readings; more tell no more. */
const PER_SLOT = 30
/** A steady fall is looked for over stretches of so many slots, each in four parts of which every one lies lower. */
const STRETCHES = [8, 12, 24, 48, 120]
const PARTS = 4
/** Each part must lie lower by this share of the settled air, and the whole by so much. Own choice: pumps wander by 1 to 2 %. */
const PART_FALLS = 0.015
const WHOLE_FALLS = 0.08
/** Air that is back at this share of what it fell from is well again. */
const BACK_SHARE = 0.95
/** Without a fall, the last hour's median is what the air is. */
const RECENT = 12

interface Slot {
  readonly slot: number
  readonly value: number
}

/** Follows the air into one vessel, l/min, over ten hours in a hundred and twenty medians. Fixed in size. */
export class AirWatch {
  #slots: Slot[] = []
  #open = NaN
  #values: number[] = []
  #fullUntilMs = -Infinity
  #course: AirCourse | null = null
  /** What a fall began from, for as long as the air has not come back near it. */
  #fellFrom: { settled: number; sinceSlot: number; seenSlot: number } | null = null

  /** The next good reading. True when a median was closed, so that {@link course} may have changed. */
  take(atMs: number, litresPerMinute: number): boolean {
    // Mostly a reading of a slot that has its fill.
    if (atMs < this.#fullUntilMs) return false
    const slot = Math.floor(atMs / SLOT_MS)
    if (slot < this.#open) return false
    let closed = false
    if (slot !== this.#open) {
      closed = this.#close()
      this.#open = slot
      this.#values = []
    }
    this.#values.push(litresPerMinute)
    if (this.#values.length >= PER_SLOT) this.#fullUntilMs = (slot + 1) * SLOT_MS
    return closed
  }

  /** For each litre of water; `null` while too little was measured, or while there is none to compare. */
  course(litres: number): AirCourse | null {
    const course = this.#course
    if (course === null || !(litres > 0)) return null
    return {
      now: course.now / litres,
      settled: course.settled / litres,
      fallingMs: course.fallingMs,
      fallPerH: course.fallPerH / litres,
    }
  }

  #close(): boolean {
    if (this.#values.length === 0) return false
    this.#slots.push({ slot: this.#open, value: medianOf(this.#values) })
    const oldest = this.#open - SLOTS
    while ((this.#slots[0]?.slot ?? Infinity) <= oldest) this.#slots.shift()
    this.#course = this.#look()
    return true
  }

  #look(): AirCourse | null {
    const slots = this.#slots
    const newest = slots.at(-1)
    if (newest === undefined || slots.length < PARTS) return null
    // The shortest stretch that falls tells the pace of now; the longest tells since when.
    let pace: Fall | null = null
    let whole: Fall | null = null
    for (const length of STRETCHES) {
      const fall = fallOver(slots.filter(({ slot }) => slot > newest.slot - length))
      if (fall === null) continue
      pace ??= fall
      whole = fall
    }
    const now = medianOf(slots.slice(-2).map(({ value }) => value))
    const earlier = this.#fellFrom
    const isBack =
      earlier === null || now >= BACK_SHARE * earlier.settled || newest.slot - earlier.seenSlot > SLOTS
    if (isBack) this.#fellFrom = null
    if (pace !== null && whole !== null) {
      this.#fellFrom = {
        settled: Math.max(whole.highest, this.#fellFrom?.settled ?? 0),
        sinceSlot: Math.min(whole.fromSlot, this.#fellFrom?.sinceSlot ?? Infinity),
        seenSlot: newest.slot,
      }
    }
    const fell = this.#fellFrom
    const recent = medianOf(slots.slice(-RECENT).map(({ value }) => value))
    return {
      now,
      settled: fell?.settled ?? recent,
      fallingMs: fell === null || pace === null ? 0 : (newest.slot + 1 - fell.sinceSlot) * SLOT_MS,
      fallPerH: pace?.perH ?? 0,
    }
  }
}

interface Fall {
  readonly fromSlot: number
  readonly highest: number
  readonly perH: number
}

/** The fall over these slots, if each of four parts lies lower than the one before; a single step down is none. */
function fallOver(slots: readonly Slot[]): Fall | null {
  const size = Math.floor(slots.length / PARTS)
  if (size < 1) return null
  const parts = Array.from({ length: PARTS }, (_, part) => {
    const from = slots.length - (PARTS - part) * size
    return slots.slice(from, from + size)
  })
  const levels = parts.map(part => medianOf(part.map(({ value }) => value)))
  const [first = NaN, , , last = NaN] = levels
  if (!(first > 0) || first - last < WHOLE_FALLS * first) return null
  for (let at = 1; at < PARTS; at++)
    if (!((levels[at - 1] ?? NaN) - (levels[at] ?? NaN) >= PART_FALLS * first)) return null
  const middle = (part: readonly Slot[] | undefined) =>
    ((part?.[0]?.slot ?? 0) + (part?.at(-1)?.slot ?? 0)) / 2
  const hours = ((middle(parts[3]) - middle(parts[0])) * SLOT_MS) / HOUR_MS
  if (!(hours > 0)) return null
  return { fromSlot: parts[0]?.[0]?.slot ?? 0, highest: first, perH: (first - last) / hours }
}

function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  const upper = sorted[half] ?? NaN
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? upper) + upper) / 2
}
