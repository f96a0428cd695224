import { type ByteReader, type ByteWriter, varintBytes, zigzag } from './bytes.ts'

/** How a column of doubles was packed; the number is what stands on disk. */
const Way = { raw: 0, steps: 1, offsets: 2, dictionary: 3 } as const

/** Decimal places tried: a probe's 0.0625 needs 4; more than 9 is no measurement but a computed double. */
const MOST_DECIMALS = 9
/** Scaled values stay below this, so that a difference of two, doubled for its sign, is still an exact integer. */
const GREATEST_SCALED = 2 ** 50

/**
 * Packs doubles without loss: as multiples of one decimal step where all of them are (probes and converters give
 * nothing else), as numbers into a list of the distinct values where those are few, else as they are. Between
 * differences and distances from the least, the shorter is taken: the first suits a drift, the second noise.
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
  const values = new Float64Array(count)
  const way = from.byte()
  if (way === Way.raw) readPlanes(from, values)
  else if (way === Way.dictionary) readDictionary(from, values)
  else if (way === Way.steps || way === Way.offsets) readScaled(from, values, way === Way.steps)
  else throw new RangeError(`Cannot read packed values: the way they were packed is not known, got ${way}`)
  return values
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
  let stepBytes = 0
  let offsetBytes = 0
  let before = 0
  for (const value of whole) {
    const offset = (value - least) / step
    offsetBytes += varintBytes(offset)
    stepBytes += varintBytes(zigzag(offset - before))
    before = offset
  }
  const steps = stepBytes <= offsetBytes
  out.byte(steps ? Way.steps : Way.offsets)
  out.byte(decimals)
  out.varint(step)
  out.zigzag(least)
  before = 0
  for (const value of whole) {
    const offset = (value - least) / step
    out.varint(steps ? zigzag(offset - before) : offset)
    before = offset
  }
}

function readScaled(from: ByteReader, values: Float64Array, steps: boolean): void {
  const factor = 10 ** from.byte()
  const step = from.varint()
  const least = from.zigzag()
  let offset = 0
  for (let i = 0; i < values.length; i++) {
    offset = steps ? offset + from.zigzag() : from.varint()
    values[i] = (least + offset * step) / factor
  }
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
  let before = 0
  for (const value of values) {
    const index = distinct.get(keyOf(value))!
    out.zigzag(index - before)
    before = index
  }
}

function readDictionary(from: ByteReader, values: Float64Array): void {
  const list = Float64Array.from({ length: from.varint() }, () => from.double())
  let index = 0
  for (let i = 0; i < values.length; i++) {
    index += from.zigzag()
    const value = list[index]
    if (value === undefined) throw new RangeError(`Cannot read packed values: no value has number ${index}`)
    values[i] = value
  }
}

/** First bytes of all, then second bytes of all: like stands by like, which the compression after it lives on. */
function writePlanes(out: ByteWriter, values: Float64Array): void {
  const little = new DataView(new ArrayBuffer(8))
  const planes = new Uint8Array(values.length * 8)
  for (let i = 0; i < values.length; i++) {
    little.setFloat64(0, values[i]!, true)
    for (let plane = 0; plane < 8; plane++) planes[plane * values.length + i] = little.getUint8(plane)
  }
  out.bytes(planes)
}

function readPlanes(from: ByteReader, values: Float64Array): void {
  const planes = from.bytes(values.length * 8)
  const little = new DataView(new ArrayBuffer(8))
  for (let i = 0; i < values.length; i++) {
    for (let plane = 0; plane < 8; plane++) little.setUint8(plane, planes[plane * values.length + i]!)
    values[i] = little.getFloat64(0, true)
  }
}
