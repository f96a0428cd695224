import { type ByteReader, type ByteWriter, zigzag } from './bytes.ts'

/** Numbers that share one width in bits: few enough that a gap in time widens little, enough that the width costs little. */
const BLOCK = 64
/** Up to here a number and what is left of a byte fit 32-bit operations; wider ones are written as whole bytes. */
const WIDEST_PACKED = 25

/** Writes whole numbers from 0 to 2^53: each block of them in as many bits as its greatest needs. */
export function writeBlocks(out: ByteWriter, numbers: Float64Array): void {
  for (let from = 0; from < numbers.length; from += BLOCK) {
    const to = Math.min(numbers.length, from + BLOCK)
    const width = widthOf(numbers, from, to)
    out.byte(width)
    if (width === 0) continue
    if (width > WIDEST_PACKED) {
      for (let i = from; i < to; i++) writeWide(out, numbers[i]!, Math.ceil(width / 8))
      continue
    }
    let held = 0
    let bits = 0
    for (let i = from; i < to; i++) {
      held |= numbers[i]! << bits
      bits += width
      for (; bits >= 8; bits -= 8) {
        out.byte(held & 255)
        held >>>= 8
      }
    }
    if (bits > 0) out.byte(held & 255)
  }
}

export function readBlocks(from: ByteReader, count: number): Float64Array {
  const numbers = new Float64Array(count)
  const bytes = from.all
  for (let start = 0; start < count; start += BLOCK) {
    const end = Math.min(count, start + BLOCK)
    const width = from.byte()
    if (width === 0) continue
    if (width > 53) throw new RangeError(`Cannot read packed numbers: at most 53 bits each, got ${width}`)
    if (width > WIDEST_PACKED) {
      for (let i = start; i < end; i++) numbers[i] = readWide(from, Math.ceil(width / 8))
      continue
    }
    let next = from.skip(Math.ceil(((end - start) * width) / 8))
    const mask = (1 << width) - 1
    let held = 0
    let bits = 0
    for (let i = start; i < end; i++) {
      for (; bits < width; bits += 8) held |= bytes[next++]! << bits
      numbers[i] = held & mask
      held >>>= width
      bits -= width
    }
  }
  return numbers
}

/** How many bytes {@link writeBlocks} takes. */
export function blockBytes(numbers: Float64Array): number {
  let bytes = 0
  for (let from = 0; from < numbers.length; from += BLOCK) {
    const to = Math.min(numbers.length, from + BLOCK)
    const width = widthOf(numbers, from, to)
    bytes +=
      1 + (width > WIDEST_PACKED ? Math.ceil(width / 8) * (to - from) : Math.ceil(((to - from) * width) / 8))
  }
  return bytes
}

/** Each number's distance from the one before (the first one's from 0), signs folded in. */
export function toSteps(numbers: Float64Array): Float64Array {
  let before = 0
  return numbers.map(number => {
    const step = zigzag(number - before)
    before = number
    return step
  })
}

export function unfold(number: number): number {
  // Nearly always; a remainder of doubles takes ten times as long.
  if (number <= 0x7fffffff) return (number >>> 1) ^ -(number & 1)
  return number % 2 === 0 ? number / 2 : -(number + 1) / 2
}

function widthOf(numbers: Float64Array, from: number, to: number): number {
  let greatest = 0
  for (let i = from; i < to; i++) if (numbers[i]! > greatest) greatest = numbers[i]!
  if (greatest <= 0xffffffff) return 32 - Math.clz32(greatest)
  return 64 - Math.clz32(Math.floor(greatest / 2 ** 32))
}

function writeWide(out: ByteWriter, number: number, bytes: number): void {
  for (let i = 0; i < bytes; i++) {
    out.byte(number % 256)
    number = Math.floor(number / 256)
  }
}

function readWide(from: ByteReader, bytes: number): number {
  let number = 0
  for (let i = 0, scale = 1; i < bytes; i++, scale *= 256) number += from.byte() * scale
  return number
}
