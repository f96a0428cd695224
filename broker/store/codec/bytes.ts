/** Greatest value that a varint here carries: beyond it a double no longer tells neighbouring integers apart. */
export const VARINT_MAX = Number.MAX_SAFE_INTEGER

/** Bytes being written, growing as needed. Numbers are LEB128 varints, doubles little-endian. */
export class ByteWriter {
  #bytes = new Uint8Array(1024)
  #view = new DataView(this.#bytes.buffer)
  #length = 0

  get length(): number {
    return this.#length
  }

  /** Starts over, keeping the memory. */
  clear(): void {
    this.#length = 0
  }

  /** Goes back to an earlier {@link length}: what was written since is forgotten. */
  truncate(length: number): void {
    this.#length = length
  }

  /** Takes so many bytes, to be written by the caller through the view that is returned. */
  room(length: number): DataView {
    this.#reserve(length)
    this.#length += length
    return this.#view
  }

  /** All of the memory: valid until the next write. */
  get dataView(): DataView {
    return this.#view
  }

  byte(value: number): void {
    this.#reserve(1)
    this.#bytes[this.#length++] = value
  }

  /** A whole number from 0 to {@link VARINT_MAX}. */
  varint(value: number): void {
    this.#reserve(8)
    const bytes = this.#bytes
    let at = this.#length
    // Bit operations would cut at 32 bits.
    while (value > 0x7fffffff) {
      bytes[at++] = (value % 128) | 0x80
      value = Math.floor(value / 128)
    }
    while (value > 127) {
      bytes[at++] = (value & 127) | 0x80
      value >>>= 7
    }
    bytes[at++] = value
    this.#length = at
  }

  /** A whole number of either sign, up to half of {@link VARINT_MAX}: small ones are short whichever their sign. */
  zigzag(value: number): void {
    this.varint(zigzag(value))
  }

  double(value: number): void {
    this.#reserve(8)
    this.#view.setFloat64(this.#length, value, true)
    this.#length += 8
  }

  bytes(value: Uint8Array): void {
    this.#reserve(value.length)
    this.#bytes.set(value, this.#length)
    this.#length += value.length
  }

  /** What was written, without copying: valid until the next write. */
  view(): Uint8Array {
    return this.#bytes.subarray(0, this.#length)
  }

  #reserve(more: number): void {
    if (this.#length + more <= this.#bytes.length) return
    const grown = new Uint8Array(Math.max(this.#bytes.length * 2, this.#length + more))
    grown.set(this.#bytes)
    this.#bytes = grown
    this.#view = new DataView(grown.buffer)
  }
}

export function zigzag(value: number): number {
  return value < 0 ? -2 * value - 1 : 2 * value
}

/** Reads what {@link ByteWriter} wrote. Throws a RangeError where the bytes end too early. */
export class ByteReader {
  readonly #bytes: Uint8Array
  readonly #view: DataView
  #at = 0

  constructor(bytes: Uint8Array) {
    // A Buffer's own methods are slower than those of the plain array.
    this.#bytes = new Uint8Array(bytes.buffer, bytes.byteOffset, bytes.byteLength)
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  }

  /** All of the bytes, for a loop that takes its part itself: from where {@link skip} says. */
  get all(): Uint8Array {
    return this.#bytes
  }

  get atEnd(): boolean {
    return this.#at >= this.#bytes.length
  }

  byte(): number {
    const value = this.#bytes[this.#at++]
    if (value === undefined) throw new RangeError('Cannot read packed bytes: they end too early')
    return value
  }

  varint(): number {
    let value = this.byte()
    if (value < 128) return value
    value &= 127
    let scale = 128
    for (;;) {
      const next = this.byte()
      value += (next & 127) * scale
      if (next < 128) return value
      scale *= 128
      if (scale > VARINT_MAX) throw new RangeError('Cannot read packed bytes: a number is too long')
    }
  }

  zigzag(): number {
    const value = this.varint()
    return value % 2 === 0 ? value / 2 : -(value + 1) / 2
  }

  double(): number {
    const value = this.#view.getFloat64(this.#at, true)
    this.#at += 8
    return value
  }

  /** Passes over so many bytes and returns where they begin. */
  skip(length: number): number {
    const from = this.#at
    if (from + length > this.#bytes.length)
      throw new RangeError('Cannot read packed bytes: they end too early')
    this.#at = from + length
    return from
  }

  bytes(length: number): Uint8Array {
    const from = this.skip(length)
    return this.#bytes.subarray(from, from + length)
  }
}
