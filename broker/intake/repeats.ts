import type { DeviceRegistry, Kept } from './outlet.ts'

/** What is known of a pack's number. */
export const Standing = {
  fresh: 'fresh',
  /** The same pack is on its way to the disk. */
  underWay: 'under-way',
  kept: 'kept',
} as const
export type Standing = (typeof Standing)[keyof typeof Standing]

/** Mostly nobody waits; put in the place of a list that would be made for each pack. */
const NOBODY: readonly Kept[] = []

type Range = [from: number, to: number]

/** The pack numbers of one power-up of one device. */
interface Boot {
  /** On disk: closed, rising, never touching. */
  readonly ranges: Range[]
  /** Given on, not yet on disk, and who else waits for each. */
  readonly underWay: Map<number, readonly Kept[]>
}

/**
 * Tells a repeat exactly, by (device, boot, seq).
 *
 * Bounded: `boots` power-ups and `ranges` gaps within each. At the limit the power-up that was used longest ago, or the
 * lowest range, is forgotten here; a repeat of it then counts as fresh, and the store, which knows all, keeps it once.
 */
export class Repeats {
  readonly #boots = new Map<string, Boot>()
  /** Each device's newest power-up, found without building a key; not used at the limit, where the order of use counts. */
  readonly #newest = new Map<string, { readonly name: string; readonly boot: Boot }>()
  readonly #seen: DeviceRegistry['seen']
  readonly #maxBoots: number
  readonly #maxRanges: number

  constructor(seen: DeviceRegistry['seen'], limits: { boots?: number; ranges?: number } = {}) {
    this.#seen = seen
    this.#maxBoots = limits.boots ?? 4096
    this.#maxRanges = limits.ranges ?? 1024
  }

  /** A fresh number is under way from now on, until {@link settle}. */
  enter(device: string, boot: string, seq: number): Standing {
    const known = this.#boot(device, boot)
    if (known.underWay.has(seq)) return Standing.underWay
    if (holds(known.ranges, seq)) return Standing.kept
    known.underWay.set(seq, NOBODY)
    return Standing.fresh
  }

  /** Calls `kept` with the fate of the pack that is under way. */
  wait(device: string, boot: string, seq: number, kept: Kept): void {
    const { underWay } = this.#boot(device, boot)
    const waiting = underWay.get(seq)
    if (waiting !== undefined) underWay.set(seq, [...waiting, kept])
  }

  /** The pack is on disk, or could not be kept: then its number counts as never seen. */
  settle(device: string, boot: string, seq: number, error: Error | null): void {
    const known = this.#boot(device, boot)
    const waiting = known.underWay.get(seq)
    known.underWay.delete(seq)
    if (error === null) {
      add(known.ranges, seq)
      if (known.ranges.length > this.#maxRanges) known.ranges.shift()
    }
    if (waiting) for (const kept of waiting) kept(error)
  }

  #boot(device: string, boot: string): Boot {
    const newest = this.#newest.get(device)
    if (newest?.name === boot) return newest.boot
    // A device's name holds no "/", so two pairs never share a key.
    const key = `${device}/${boot}`
    let known = this.#boots.get(key)
    if (known === undefined) {
      known = {
        ranges: this.#seen(device, boot).map(([from, to]): Range => [from, to]),
        underWay: new Map(),
      }
      this.#boots.set(key, known)
      if (this.#boots.size > this.#maxBoots) this.#forgetOne()
    } else if (this.#boots.size >= this.#maxBoots) {
      // Only near the limit is it worth keeping the order of use.
      this.#boots.delete(key)
      this.#boots.set(key, known)
    }
    if (this.#boots.size < this.#maxBoots) this.#newest.set(device, { name: boot, boot: known })
    else this.#newest.clear()
    return known
  }

  #forgetOne(): void {
    for (const [key, { underWay }] of this.#boots) {
      if (underWay.size > 0) continue
      this.#boots.delete(key)
      return
    }
  }
}

/** The index of the first range that ends at or after `seq`. */
function indexFor(ranges: readonly Range[], seq: number): number {
  let low = 0
  let high = ranges.length
  // Numbers nearly always come in order: look at the end first.
  const last = ranges[high - 1]
  if (last === undefined || last[1] < seq) return high
  while (low < high) {
    const middle = (low + high) >> 1
    if (ranges[middle]![1] < seq) low = middle + 1
    else high = middle
  }
  return low
}

function holds(ranges: readonly Range[], seq: number): boolean {
  const range = ranges[indexFor(ranges, seq)]
  return range !== undefined && range[0] <= seq
}

function add(ranges: Range[], seq: number): void {
  const index = indexFor(ranges, seq)
  const after = ranges[index]
  const before = ranges[index - 1]
  if (after !== undefined && after[0] <= seq) return
  const joinsBefore = before !== undefined && before[1] === seq - 1
  const joinsAfter = after !== undefined && after[0] === seq + 1
  if (joinsBefore && joinsAfter) {
    before[1] = after[1]
    ranges.splice(index, 1)
  } else if (joinsBefore) before[1] = seq
  else if (joinsAfter) after[0] = seq
  else ranges.splice(index, 0, [seq, seq])
}
