import { blockBytes, readBlocks, toSteps, unfold, writeBlocks } from './blocks.ts'
import { ByteReader, ByteWriter, zigzag } from './bytes.ts'
import { type Columnar, slice } from './columns.ts'
import { GOOD_MARK, isMissing } from './mark.ts'
import { readValues, writeValues } from './values.ts'

/** Samples in a full chunk: about a third of a database page once packed, and under a millisecond to unpack. */
export const CHUNK_SAMPLES = 1024

/** First byte of a chunk's body: which of the two ways its times are packed. */
const Times = { changesOfStep: 0, besideLine: 1 } as const

/** A channel's samples over a span of time, packed. */
export interface Chunk {
  /** First and last sample's time, Unix ms, both inclusive. */
  readonly fromMs: number
  readonly toMs: number
  readonly count: number
  readonly body: Uint8Array
}

/**
 * Packs samples that are in time order, in pieces of about equal size, without loss: marks as runs, values as `values.ts`
 * says, and times as what their steps change by (which suits gaps) or as their distance from an even beat (which suits
 * jitter), whichever is shorter.
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
  writeTimes(out, at)
  writeRuns(out, mark)
  const missing = mark.some(isMissing)
  writeValues(out, missing ? value.filter((_, i) => !isMissing(mark[i]!)) : value)
  return { fromMs: at[0]!, toMs: at[count - 1]!, count, body: out.view().slice() }
}

/** Throws an error when the body is not one that {@link packChunk} made. */
export function unpackChunk({ fromMs, toMs, count, body }: Chunk): Columnar {
  const from = new ByteReader(body)
  const at = readTimes(from, count, fromMs, toMs)
  const { mark, missing } = readRuns(from, count)
  const values = readValues(from, count - missing)
  if (missing === 0) return { at, value: values, mark }
  const value = new Float64Array(count)
  let next = 0
  for (let i = 0; i < count; i++) value[i] = isMissing(mark[i]!) ? NaN : values[next++]!
  return { at, value, mark }
}

function writeTimes(out: ByteWriter, at: Float64Array): void {
  const steps = at.map((ms, i) => (i === 0 ? 0 : ms - at[i - 1]!))
  const changes = toSteps(steps)
  const beat = beatOf(at[0]!, at.at(-1)!, at.length)
  const beside = at.map((ms, i) => zigzag(ms - beat(i)))
  const shorter = blockBytes(beside) < blockBytes(changes)
  out.byte(shorter ? Times.besideLine : Times.changesOfStep)
  writeBlocks(out, shorter ? beside : changes)
}

function readTimes(from: ByteReader, count: number, fromMs: number, toMs: number): Float64Array {
  const way = from.byte()
  const at = readBlocks(from, count)
  if (way === Times.besideLine) {
    const beat = beatOf(fromMs, toMs, count)
    for (let i = 0; i < count; i++) at[i] = beat(i) + unfold(at[i]!)
    return at
  }
  if (way !== Times.changesOfStep)
    throw new RangeError(`Cannot read a chunk: its form is not known, got ${way}`)
  let now = fromMs
  let step = 0
  for (let i = 0; i < count; i++) {
    step += unfold(at[i]!)
    now += step
    at[i] = now
  }
  return at
}

/** Where an even beat from the first to the last time would put each of them, in whole ms. */
function beatOf(fromMs: number, toMs: number, count: number): (i: number) => number {
  const step = count > 1 ? (toMs - fromMs) / (count - 1) : 0
  return i => fromMs + Math.round(i * step)
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

function readRuns(from: ByteReader, count: number): { mark: Uint8Array; missing: number } {
  const mark = new Uint8Array(count)
  let missing = 0
  for (let i = 0; i < count;) {
    const one = from.byte()
    const run = from.varint()
    if (run === 0 || i + run > count) throw new RangeError('Cannot read a chunk: a run of marks is too long')
    if (one !== GOOD_MARK) mark.fill(one, i, i + run)
    if (isMissing(one)) missing += run
    i += run
  }
  return { mark, missing }
}
