import { ByteReader, ByteWriter } from './codec/bytes.ts'

/** A set of whole numbers from 0 as closed ranges, rising and apart. Never changed in place. */
export type Ranges = readonly (readonly [from: number, to: number])[]

/**
 * Gaps remembered in one set. A device counts up, so a set is nearly always one range; one that jumps about more often than
 * this has its lowest ranges forgotten, and a repeat of those would be kept twice.
 */
export const MOST_RANGES = 4096

export function holds(ranges: Ranges, value: number): boolean {
  const at = lastNotAbove(ranges, value)
  return at >= 0 && value <= ranges[at]![1]
}

/** The set with `value` added. */
export function withValue(ranges: Ranges, value: number): Ranges {
  return holds(ranges, value) ? ranges : withRange(ranges, value, value)
}

/** The set with all from `from` to `to` added; none of them may be in it. */
export function withRange(ranges: Ranges, from: number, to: number): Ranges {
  const at = lastNotAbove(ranges, from)
  const below = ranges[at]
  const above = ranges[at + 1]
  const joinsBelow = below !== undefined && below[1] === from - 1
  const joinsAbove = above !== undefined && above[0] === to + 1
  const joined = [joinsBelow ? below[0] : from, joinsAbove ? above[1] : to] as const
  const next = ranges.slice(0, joinsBelow ? at : at + 1)
  next.push(joined, ...ranges.slice(joinsAbove ? at + 2 : at + 1))
  return next.length > MOST_RANGES ? next.slice(next.length - MOST_RANGES) : next
}

/** Index of the last range that begins at or below the value; -1 when none does. */
function lastNotAbove(ranges: Ranges, value: number): number {
  const last = ranges.length - 1
  if (last >= 0 && ranges[last]![0] <= value) return last
  let low = 0
  let high = last
  while (low < high) {
    const middle = (low + high) >> 1
    if (ranges[middle]![0] <= value) low = middle + 1
    else high = middle
  }
  return low - 1
}

/** Each range as its distance from the one before and its length. */
export function packRanges(ranges: Ranges): Uint8Array {
  const out = new ByteWriter()
  let end = 0
  for (const [from, to] of ranges) {
    out.varint(from - end)
    out.varint(to - from)
    end = to
  }
  return out.view().slice()
}

export function unpackRanges(bytes: Uint8Array): Ranges {
  const from = new ByteReader(bytes)
  const ranges: [number, number][] = []
  let end = 0
  while (!from.atEnd) {
    const start = end + from.varint()
    end = start + from.varint()
    ranges.push([start, end])
  }
  return ranges
}
