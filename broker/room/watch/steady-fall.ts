import { HOUR_MS } from '../../hatch/units.ts'

/** One median of a stretch of readings, and which stretch it is, counted in lengths of it since 1970. */
export interface Slot {
  readonly slot: number
  readonly value: number
}

/** What makes a fall a steady one. */
export interface FallMarks {
  readonly slotMs: number
  /** It is looked for over the newest stretches of so many slots, each in four parts of which every one lies lower. */
  readonly stretches: readonly number[]
  /** So many slots make a part at least. */
  readonly leastPart: number
  /** Each part must lie lower by this share of the first, and the whole by so much. */
  readonly partFalls: number
  readonly wholeFalls: number
}

/** A fall over a stretch. */
export interface Fall {
  readonly fromMs: number
  /** Where it began. */
  readonly highest: number
  readonly perH: number
}

const PARTS = 4
/** Of an even fall each step from part to part is a third; a hand that turns the air down does most of it in one. Own choice. */
const LEAST_SHARE = 1 / 6

/** The falls that are seen now: over the shortest stretch, which tells the pace of now, and over the longest, which tells since when. */
export function steadyFall(
  slots: readonly Slot[],
  marks: FallMarks,
): { readonly pace: Fall; readonly whole: Fall } | null {
  const newest = slots.at(-1)
  if (newest === undefined || slots.length < PARTS * marks.leastPart) return null
  let pace: Fall | null = null
  let whole: Fall | null = null
  for (const length of marks.stretches) {
    const fall = fallOver(
      slots.filter(({ slot }) => slot > newest.slot - length),
      marks,
    )
    if (fall === null) continue
    pace ??= fall
    whole = fall
  }
  return pace && whole && { pace, whole }
}

/** The fall over these slots, if each of four parts lies lower than the one before; a single step down is none. */
function fallOver(slots: readonly Slot[], { slotMs, leastPart, partFalls, wholeFalls }: FallMarks) {
  const size = Math.floor(slots.length / PARTS)
  if (size < leastPart) return null
  const parts = Array.from({ length: PARTS }, (_, part) => {
    const from = slots.length - (PARTS - part) * size
    return slots.slice(from, from + size)
  })
  const levels = parts.map(part => medianOf(part.map(({ value }) => value)))
  const [first = NaN, , , last = NaN] = levels
  if (!(first > 0) || first - last < wholeFalls * first) return null
  const leastStep = Math.max(partFalls * first, LEAST_SHARE * (first - last))
  for (let at = 1; at < PARTS; at++)
    if (!((levels[at - 1] ?? NaN) - (levels[at] ?? NaN) >= leastStep)) return null
  const middle = (part: readonly Slot[] | undefined) =>
    ((part?.[0]?.slot ?? 0) + (part?.at(-1)?.slot ?? 0)) / 2
  const hours = ((middle(parts[3]) - middle(parts[0])) * slotMs) / HOUR_MS
  if (!(hours > 0)) return null
  return { fromMs: (parts[0]?.[0]?.slot ?? 0) * slotMs, highest: first, perH: (first - last) / hours }
}

export function medianOf(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  const half = sorted.length >> 1
  const upper = sorted[half] ?? NaN
  return sorted.length % 2 === 1 ? upper : ((sorted[half - 1] ?? upper) + upper) / 2
}
