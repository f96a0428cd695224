import type { AirCourse } from '../../rules/contract.ts'
import { AirSlots } from './air-slots.ts'
import { medianOf, steadyFall, type FallMarks } from './steady-fall.ts'

const MINUTE_MS = 60_000

/**
 * A fall over hours: medians of five minutes, ten hours of them, so that a gust of bubbles and a kinked moment fall out. The marks are own
 * choice: pumps wander by 1 to 2 %.
 */
const SLOW: FallMarks = {
  slotMs: 5 * MINUTE_MS,
  stretches: [8, 12, 24, 48, 120],
  leastPart: 1,
  partFalls: 0.015,
  wholeFalls: 0.08,
}
const SLOW_SLOTS = 120
/**
 * A fall within minutes, which is over before the slow look has four medians of it. Flow sensors scatter by a few per cent from
 * reading to reading, so it must be a deep one. Parts are of an odd number of slots: two steps then seldom make three parts fall.
 * Own choices.
 */
const FAST: FallMarks = {
  slotMs: MINUTE_MS,
  stretches: [12, 20, 28],
  leastPart: 3,
  partFalls: 0.03,
  wholeFalls: 0.15,
}
const FAST_SLOTS = 28
/** Air that is back at this share of what it fell from is well again. */
const BACK_SHARE = 0.95
/** What fell so long ago without a fall since is no fall any more, ms. */
const REMEMBERED_MS = SLOW_SLOTS * SLOW.slotMs
/** Without a fall, the last hour's median is what the air is. */
const RECENT = 12

/** Follows the air into one vessel, l/min, over ten hours and, finer, over half an hour. Fixed in size. */
export class AirWatch {
  readonly #slow = new AirSlots(SLOW.slotMs, SLOW_SLOTS)
  readonly #fast = new AirSlots(FAST.slotMs, FAST_SLOTS)
  #course: AirCourse | null = null
  /** The falls as they were seen last, by how fine the look was. */
  #falls: { slow: ReturnType<typeof steadyFall>; fast: ReturnType<typeof steadyFall> } = {
    slow: null,
    fast: null,
  }
  /** Whether the finer look before saw a fall: one alone may be two steps that happen to lie so. */
  #seenOnce = false
  /** What a fall began from, for as long as the air has not come back near it. */
  #fellFrom: { settled: number; sinceMs: number; seenMs: number } | null = null

  /** The next good reading. True when {@link course} may have changed. */
  take(atMs: number, litresPerMinute: number): boolean {
    const closedSlow = this.#slow.take(atMs, litresPerMinute)
    const closedFast = this.#fast.take(atMs, litresPerMinute)
    if (closedSlow) this.#falls.slow = steadyFall(this.#slow.closed, SLOW)
    const fellFast = this.#falls.fast !== null
    if (closedFast) {
      const fall = this.#hasFallen() ? steadyFall(this.#fast.closed, FAST) : null
      this.#falls.fast = this.#seenOnce ? fall : null
      this.#seenOnce = fall !== null
    }
    const changed = closedSlow || (closedFast && (fellFast || this.#falls.fast !== null))
    if (changed) this.#course = this.#look()
    return changed
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

  /** Whether the last half hour has fallen at all: mostly it has not, and then nothing else is to be looked at. */
  #hasFallen(): boolean {
    const slots = this.#fast.closed
    const highest = slots.reduce((most, { value }) => Math.max(most, value), 0)
    return (slots.at(-1)?.value ?? Infinity) <= (1 - FAST.wholeFalls) * highest
  }

  #look(): AirCourse | null {
    const { slow, fast } = this.#falls
    const slots = this.#slow.closed
    if (fast === null && slots.length < 4) return null
    const now = fast === null ? this.#slow.newest(2) : this.#fast.newest(FAST.leastPart)
    const nowMs = fast === null ? this.#slow.closedMs : this.#fast.closedMs
    const earlier = this.#fellFrom
    if (earlier && (now >= BACK_SHARE * earlier.settled || nowMs - earlier.seenMs > REMEMBERED_MS))
      this.#fellFrom = null
    // The finer look tells the pace of now, where it sees any.
    const pace = fast?.pace ?? slow?.pace ?? null
    for (const fall of [slow?.whole, fast?.whole]) {
      if (!fall) continue
      this.#fellFrom = {
        settled: Math.max(fall.highest, this.#fellFrom?.settled ?? 0),
        sinceMs: Math.min(fall.fromMs, this.#fellFrom?.sinceMs ?? Infinity),
        seenMs: nowMs,
      }
    }
    const fell = this.#fellFrom
    return {
      now,
      settled: fell?.settled ?? medianOf(slots.slice(-RECENT).map(({ value }) => value)),
      fallingMs: fell === null || pace === null ? 0 : nowMs - fell.sinceMs,
      fallPerH: pace?.perH ?? 0,
    }
  }
}
