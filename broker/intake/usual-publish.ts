/** What {@link UsualPublish.read} found. */
export const Found = {
  /** The usual message, whole. */
  whole: 'whole',
  /** The beginning of one, so far. */
  begun: 'begun',
  /** Something else, to be read with all the rules of MQTT. */
  other: 'other',
} as const
export type Found = (typeof Found)[keyof typeof Found]

/** PUBLISH of QoS 1, the bit of DUP left out, not retained: MQTT 3.1.1 section 3.3.1. */
const USUAL = 0x32
const WITHOUT_DUP = 0xf7
/** A length has so many bytes at most: MQTT 3.1.1 section 2.2.3. */
const LENGTH_BYTES = 4

/** Reads a PUBLISH of QoS 1 on one topic from its bytes, where it is the usual one: what a device sends all day. */
export class UsualPublish {
  readonly #topic: Uint8Array
  readonly #longest: number
  /** Of the message that was whole. */
  identifier = 0
  payloadFrom = 0
  /** Where the next packet begins. */
  end = 0

  /** @param longest bytes after the fixed header; a longer message is not the usual one. */
  constructor(topic: Uint8Array, longest: number) {
    this.#topic = topic
    this.#longest = longest
  }

  /** Looks at the packet that begins at `from`; the fields hold what was found where it is {@link Found.whole}. */
  read(chunk: Uint8Array, from: number): Found {
    const there = chunk.length
    if (from >= there) return Found.begun
    if ((chunk[from]! & WITHOUT_DUP) !== USUAL) return Found.other
    let at = from + 1
    let length = 0
    for (let n = 0; ; n++) {
      if (n === LENGTH_BYTES) return Found.other
      if (at >= there) return Found.begun
      const byte = chunk[at++]!
      length |= (byte & 0x7f) << (7 * n)
      if (byte < 0x80) break
    }
    const topic = this.#topic
    if (length > this.#longest || length < topic.length + 4) return Found.other
    const end = at + length
    if (at + 1 < there && ((chunk[at]! << 8) | chunk[at + 1]!) !== topic.length) return Found.other
    at += 2
    const known = Math.min(topic.length, there - at)
    for (let i = 0; i < known; i++) if (chunk[at + i] !== topic[i]) return Found.other
    if (end > there) return Found.begun
    at += topic.length
    this.identifier = (chunk[at]! << 8) | chunk[at + 1]!
    // MQTT 3.1.1 clause 2.3.1-1: an identifier is not 0.
    if (this.identifier === 0) return Found.other
    this.payloadFrom = at + 2
    this.end = end
    return Found.whole
  }
}
