import { deflateRawSync, inflateRawSync } from 'node:zlib'
import { ByteReader, ByteWriter } from './bytes.ts'
import { type Columnar, slice } from './columns.ts'
import { isMissing } from './mark.ts'
import { readValues, writeValues } from './values.ts'

/** Samples in a full chunk: about a third of a database page once packed, and under a millisecond to unpack. */
export const CHUNK_SAMPLES = 1024

/** First byte of a chunk's body. */
const Form = { plain: 0, deflated: 1 } as const

/** Below this share of its size compression is worth the time to undo it. */
const PAYS_BELOW = 0.9

/** A channel's samples over a span of time, packed. */
export interface Chunk {
  /** First and last sample's time, Unix ms, both inclusive. */
  readonly fromMs: number
  readonly toMs: number
  readonly count: number
  readonly body: Uint8Array
}

/**
 * Packs samples that are in time order, in pieces of about equal size: times as differences of differences, marks as runs,
 * values as `values.ts` says, and all of it deflated where that pays. Nothing is lost.
 */
export function packChunks(samples: Columnar): Chunk[] {
  const total = samples.at.length
  const pieces = Math.ceil(total / CHUNK_SAMPLES)
  return Array.from({ length: pieces }, (_, i) =>
    packChunk(slice(samples, Math.floor((i * total) / pieces), Math.floor(((i + 1) * total) / pieces))),
  )
}

export function packChunk(samples: Columnar): Chunk {
  const { at, value, mark } = samples
  const count = at.length
  if (count === 0) throw new RangeError('Cannot pack a chunk: it must hold a sample, got none')
  const out = new ByteWriter()
  out.varint(count)
  writeTimes(out, at)
  writeRuns(out, mark)
  writeValues(
    out,
    value.filter((_, i) => !isMissing(mark[i]!)),
  )
  const plain = out.view()
  const deflated = deflateRawSync(plain)
  const pays = deflated.length < plain.length * PAYS_BELOW
  const body = new Uint8Array(1 + (pays ? deflated : plain).length)
  body[0] = pays ? Form.deflated : Form.plain
  body.set(pays ? deflated : plain, 1)
  return { fromMs: at[0]!, toMs: at[count - 1]!, count, body }
}

/** Throws a RangeError, or zlib's error, when the body is not one that {@link packChunk} made. */
export function unpackChunk(fromMs: number, body: Uint8Array): Columnar {
  const rest = body.subarray(1)
  if (body[0] !== Form.plain && body[0] !== Form.deflated) {
    throw new RangeError(`Cannot read a chunk: its form is not known, got ${String(body[0])}`)
  }
  const from = new ByteReader(body[0] === Form.deflated ? inflateRawSync(rest) : rest)
  const count = from.varint()
  const at = readTimes(from, count, fromMs)
  const mark = readRuns(from, count)
  let missing = 0
  for (const one of mark) if (isMissing(one)) missing++
  const values = readValues(from, count - missing)
  if (missing === 0) return { at, value: values, mark }
  const value = new Float64Array(count)
  let next = 0
  for (let i = 0; i < count; i++) value[i] = isMissing(mark[i]!) ? NaN : values[next++]!
  return { at, value, mark }
}

function writeTimes(out: ByteWriter, at: Float64Array): void {
  let stepBefore = 0
  for (let i = 1; i < at.length; i++) {
    const step = at[i]! - at[i - 1]!
    out.zigzag(step - stepBefore)
    stepBefore = step
  }
}

function readTimes(from: ByteReader, count: number, fromMs: number): Float64Array {
  const at = new Float64Array(count)
  let now = fromMs
  let step = 0
  if (count > 0) at[0] = now
  for (let i = 1; i < count; i++) {
    step += from.zigzag()
    now += step
    at[i] = now
  }
  return at
}

function writeRuns(out: ByteWriter, mark: Uint8Array): void {
  for (let i = 0; i < mark.length;) {
    let end = i + 1
    while (end < mark.length && mark[end] === mark[i]) end++
    out.byte(mark[i]!)
    out.varint(end - i)
    i = end
  }
}

function readRuns(from: ByteReader, count: number): Uint8Array {
  const mark = new Uint8Array(count)
  for (let i = 0; i < count;) {
    const one = from.byte()
    const run = from.varint()
    if (run === 0 || i + run > count) throw new RangeError('Cannot read a chunk: a run of marks is too long')
    mark.fill(one, i, i + run)
    i += run
  }
  return mark
}
