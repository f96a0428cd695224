import type { Readable } from 'node:stream'
import type { StraightLane } from './straight-lane.ts'

/** The longest packets, bytes, without their fixed header. */
export interface FrameLimits {
  /** The first packet, CONNECT: whoever sends it is not known yet. */
  readonly first: number
  readonly later: number
}

/**
 * Follows MQTT's framing (MQTT 3.1.1 section 2.2.3) through a byte stream without keeping any of it. The parser behind
 * gathers a packet until it is whole, up to 256 MB; this is what stops one that is too long at its first bytes.
 */
export class FrameWatch {
  readonly #limits: FrameLimits
  #limit: number
  #left = 0
  /** -1 between packets, else how many bits of the length have been read. */
  #lengthBits = -1
  #length = 0

  constructor(limits: FrameLimits) {
    this.#limits = limits
    this.#limit = limits.first
  }

  /** Whether the next byte begins a packet. */
  get between(): boolean {
    return this.#left === 0 && this.#lengthBits < 0
  }

  /** False from the chunk on that begins a packet which is too long, or whose length is no length. */
  accept(chunk: Uint8Array): boolean {
    let at = 0
    while (at < chunk.length) {
      if (this.#left > 0) {
        const skip = Math.min(this.#left, chunk.length - at)
        this.#left -= skip
        at += skip
        continue
      }
      const byte = chunk[at++]!
      if (this.#lengthBits < 0) {
        this.#lengthBits = 0
        this.#length = 0
        continue
      }
      this.#length |= (byte & 0x7f) << this.#lengthBits
      this.#lengthBits += 7
      if (byte & 0x80) {
        if (this.#lengthBits >= 28) return false
        continue
      }
      if (this.#length > this.#limit) return false
      this.#left = this.#length
      this.#lengthBits = -1
      this.#limit = this.#limits.later
    }
    return true
  }
}

/**
 * Watches what is read from a stream; `tooLong` is told once, and the stream is destroyed. What the lane takes is not read by
 * whoever reads the stream.
 */
export function watchFrames(
  stream: Readable,
  limits: FrameLimits,
  tooLong: () => void,
  lane?: Pick<StraightLane, 'full' | 'take'>,
): void {
  const watch = new FrameWatch(limits)
  const read = stream.read.bind(stream)
  // The parser reads by calling read(); a stream in between would cost every packet a copy.
  stream.read = (size?: number): unknown => {
    if (lane?.full) return null
    const chunk: unknown = read(size)
    if (!(chunk instanceof Uint8Array)) return chunk
    const left = lane && watch.between ? lane.take(chunk) : chunk
    if (left === null || watch.accept(left)) return left
    tooLong()
    stream.destroy()
    return null
  }
}
