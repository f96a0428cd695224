import { deflateRawSync, inflateRawSync } from 'node:zlib'
import { blockBytes, readBlocks, toSteps, unfold, writeBlocks } from './blocks.ts'
import type { ByteReader, ByteWriter } from './bytes.ts'

/** How a column of doubles was packed; the number is what stands on disk. */
const Way = { raw: 0, scaled: 1, dictionary: 2 } as const
/** How its whole numbers are: as they are, or each as its step from the one before. */
const Form = { plain: 0, steps: 1 } as const

/** Decimal places tried: a probe's 0.0625 needs 4; more than 9 is no measurement but a computed double. */
const MOST_DECIMALS = 9
/** Scaled values stay below this, so that a difference of two, doubled for its sign, is still an exact integer. */
const GREATEST_SCALED = 2 ** 50

/**
 * Packs doubles without loss: as multiples of one decimal step where all of them are (probes and converters give
 * nothing else), as numbers into a list of the distinct values where those are few, else as they are.
 */
export function writeValues(out: ByteWriter, values: Float64Array): void {
  const scaled = scale(values)
  if (scaled !== null) return writeScaled(out, scaled)
  const distinct = distinctOf(values)
  if (distinct.size * 2 <= values.length) return writeDictionary(out, values, distinct)
  out.byte(Way.raw)
  writePlanes(out, values)
}

/** Reads `count` doubles that {@link writeValues} wrote. */
export function readValues(from: ByteReader, count: number): Float64Array {
  const way = from.byte()
  if (way === Way.scaled) return readScaled(from, count)
  if (way === Way.dictionary) return readDictionary(from, count)
  if (way === Way.raw) return readPlanes(from, count)
  throw new RangeError(`Cannot read packed values: the way they were packed is not known, got ${way}`)
}

interface Scaled {
  readonly decimals: number
  readonly whole: Float64Array
  readonly least: number
  /** Greatest common divisor of the distances from the least; 1 when all are equal. */
  readonly step: number
}

function scale(values: Float64Array): Scaled | null {
  let decimals = 0
  let factor = 1
  const fits = (value: number) => {
    const whole = Math.round(value * factor)
    // Object.is, because -0 would come back as 0.
    return Math.abs(whole) <= GREATEST_SCALED && Object.is(whole / factor, value) && !Object.is(whole, -0)
  }
  for (const value of values) {
    while (!fits(value)) {
      if (++decimals > MOST_DECIMALS) return null
      factor = 10 ** decimals
    }
  }
  const whole = new Float64Array(values.length)
  let least = Infinity
  for (let i = 0; i < values.length; i++) {
    // An early value was checked with fewer decimals only.
    if (!fits(values[i]!)) return null
    whole[i] = Math.round(values[i]! * factor)
    least = Math.min(least, whole[i]!)
  }
  let step = 0
  for (const value of whole) if (step !== 1) step = greatestCommonDivisor(step, value - least)
  return { decimals, whole, least: values.length === 0 ? 0 : least, step: step === 0 ? 1 : step }
}

function greatestCommonDivisor(a: number, b: number): number {
  while (b !== 0) [a, b] = [b, a % b]
  return a
}

function writeScaled(out: ByteWriter, { decimals, whole, least, step }: Scaled): void {
  out.byte(Way.scaled)
  out.byte(decimals)
  out.varint(step)
  out.zigzag(least)
  writeWhole(
    out,
    whole.map(value => (value - least) / step),
  )
}

function readScaled(from: ByteReader, count: number): Float64Array {
  const factor = 10 ** from.byte()
  const step = from.varint()
  const least = from.zigzag()
  const values = readWhole(from, count)
  for (let i = 0; i < count; i++) values[i] = (least + values[i]! * step) / factor
  return values
}

/** Between distances from the least and steps, the shorter is taken: the first suits noise, the second a drift. */
function writeWhole(out: ByteWriter, numbers: Float64Array): void {
  const steps = toSteps(numbers)
  const shorter = blockBytes(steps) < blockBytes(numbers)
  out.byte(shorter ? Form.steps : Form.plain)
  writeBlocks(out, shorter ? steps : numbers)
}

function readWhole(from: ByteReader, count: number): Float64Array {
  const steps = from.byte() === Form.steps
  const numbers = readBlocks(from, count)
  if (!steps) return numbers
  let now = 0
  for (let i = 0; i < count; i++) numbers[i] = now += unfold(numbers[i]!)
  return numbers
}

/** Number of each distinct value. Maps hold 0 and -0 as one key, so -0 goes under a name of its own. */
type Distinct = Map<number | '-0', number>

const keyOf = (value: number) => (Object.is(value, -0) ? '-0' : value)

function distinctOf(values: Float64Array): Distinct {
  const distinct: Distinct = new Map()
  for (const value of values) {
    const key = keyOf(value)
    if (!distinct.has(key)) distinct.set(key, 0)
  }
  return distinct
}

function writeDictionary(out: ByteWriter, values: Float64Array, distinct: Distinct): void {
  const list = [...distinct.keys()].map(Number).sort((a, b) => a - b)
  list.forEach((value, index) => distinct.set(keyOf(value), index))
  out.byte(Way.dictionary)
  out.varint(list.length)
  for (const value of list) out.double(value)
  writeWhole(
    out,
    values.map(value => distinct.get(keyOf(value))!),
  )
}

function readDictionary(from: ByteReader, count: number): Float64Array {
  const list = Float64Array.from({ length: from.varint() }, () => from.double())
  const values = readWhole(from, count)
  for (let i = 0; i < count; i++) {
    const value = list[values[i]!]
    if (value === undefined)
      throw new RangeError(`Cannot read packed values: no value has number ${values[i]!}`)
    values[i] = value
  }
  return values
}

/** First bytes of all, then second bytes of all, deflated: like stands by like, which the compression lives on. */
function writePlanes(out: ByteWriter, values: Float64Array): void {
  const bytes = new Uint8Array(Float64Array.from(values).buffer)
  const planes = new Uint8Array(bytes.length)
  const count = values.length
  for (let i = 0; i < bytes.length; i++) planes[(i % 8) * count + (i >> 3)] = bytes[i]!
  const deflated = deflateRawSync(planes)
  out.varint(deflated.length)
  out.bytes(deflated)
}

function readPlanes(from: ByteReader, count: number): Float64Array {
  const planes = inflateRawSync(from.bytes(from.varint()))
  if (planes.length !== count * 8)
    throw new RangeError('Cannot read packed values: they are not as many as said')
  const bytes = new Uint8Array(planes.length)
  for (let i = 0; i < bytes.length; i++) bytes[i] = planes[(i % 8) * count + (i >> 3)]!
  return new Float64Array(bytes.buffer)
}
