import { readUsualPack } from './pack-usual.ts'
import { readSenmlCbor, writeSenmlCbor } from './senml-cbor.ts'
import { readSenmlJson, writeSenmlJson } from './senml-json.ts'
import { resolveRecords, SenmlVersionError } from './senml.ts'
import type { RejectedRecord, ResolvedRecord } from './senml.ts'

/** The longest payload that is read, bytes. */
export const MAX_PAYLOAD_BYTES = 64 * 1024
/** The most records that are read from one payload. */
export const MAX_RECORDS = 4096
/** The longest `boot`, characters. */
export const MAX_BOOT_LENGTH = 64
/** The longest text value, characters. */
export const MAX_TEXT_LENGTH = 256

/** One value of one channel, as a device sends it. */
export interface Measurement {
  readonly name: string
  /** `null` when the device names none. */
  readonly unit: string | null
  /** Text is a fault's name: the sensor could not be read. */
  readonly value: number | string | boolean
  /** Seconds: Unix time from 2^28 on, else relative to the moment of sending (negative is the past). */
  readonly timeS: number
}

/** One message on a `measurements` topic. */
export interface Pack {
  /** The device's random text per power-up; `null` when it sends none. */
  readonly boot: string | null
  /** Counts packs within a boot. */
  readonly seq: number | null
  /** Seconds since power-up at the moment of sending. */
  readonly uptimeS: number | null
  readonly measurements: Measurement[]
  /** Records that could not be read; the others were. */
  readonly rejected: RejectedRecord[]
}

export const PackErrorCode = {
  notSenml: 'not-senml',
  tooLarge: 'too-large',
  newerVersion: 'newer-version',
  cannotEncode: 'cannot-encode',
} as const
export type PackErrorCode = (typeof PackErrorCode)[keyof typeof PackErrorCode]

/** The payload as a whole could not be read or written. */
export class PackError extends Error {
  override readonly name = 'PackError'
  readonly code: PackErrorCode
  constructor(code: PackErrorCode, message: string, options?: { cause?: unknown }) {
    super(message, options)
    this.code = code
  }
}

const USUAL = { records: MAX_RECORDS, bootLength: MAX_BOOT_LENGTH, textLength: MAX_TEXT_LENGTH }

/** @throws PackError when nothing of the payload can be read; never anything else. */
export function decodePack(payload: Uint8Array): Pack {
  if (payload.length > MAX_PAYLOAD_BYTES) {
    throw new PackError(
      PackErrorCode.tooLarge,
      `Cannot read the pack: ${MAX_PAYLOAD_BYTES} bytes at most, got ${payload.length}`,
    )
  }
  const usual = readUsualPack(payload, USUAL)
  if (usual !== null) return usual
  const written = readRecords(payload)
  if (written.length > MAX_RECORDS) {
    throw new PackError(
      PackErrorCode.tooLarge,
      `Cannot read the pack: ${MAX_RECORDS} records at most, got ${written.length}`,
    )
  }
  let resolved
  try {
    resolved = resolveRecords(written)
  } catch (error) {
    if (!(error instanceof SenmlVersionError)) throw error
    throw new PackError(PackErrorCode.newerVersion, error.message)
  }
  return sort(resolved.records, resolved.rejected)
}

function readRecords(payload: Uint8Array): unknown[] {
  try {
    switch (encodingOf(payload)) {
      case 'json':
        return readSenmlJson(payload)
      case 'cbor':
        return readSenmlCbor(payload)
    }
  } catch (error) {
    const why = (error instanceof Error ? error.message : String(error)).slice(0, 200)
    throw new PackError(PackErrorCode.notSenml, `Cannot read the pack: ${why}`, { cause: error })
  }
  throw new PackError(
    PackErrorCode.notSenml,
    payload.length === 0
      ? 'Cannot read the pack: it is empty'
      : `Cannot read the pack: SenML is a JSON array or a CBOR array, got a first byte of 0x${payload[0]!.toString(16).padStart(2, '0')}`,
  )
}

/** JSON begins with "[" or white space, CBOR with an array (major type 4) or the self-describing tag 0xd9d9f7. */
function encodingOf(payload: Uint8Array): 'json' | 'cbor' | undefined {
  const first = payload[0]
  if (first === undefined) return undefined
  if (first === 0x5b || first === 0x20 || first === 0x09 || first === 0x0a || first === 0x0d) return 'json'
  if ((first >= 0x80 && first <= 0x9f) || first === 0xd9) return 'cbor'
  return undefined
}

/** Takes `boot`, `seq` and `uptime` out from among the measurements. */
function sort(records: readonly ResolvedRecord[], rejected: RejectedRecord[]): Pack {
  const own: Own = { boot: null, seq: null, uptimeS: null }
  const measurements: Measurement[] = []
  for (const record of records) {
    const isOwn = record.name === 'boot' || record.name === 'seq' || record.name === 'uptime'
    const problem = isOwn ? takeOwn(own, record) : problemOf(record.value)
    if (problem !== null) rejected.push({ record, detail: `record "${record.name}": ${problem}` })
    else if (!isOwn) measurements.push(asMeasurement(record))
  }
  const { boot, seq, uptimeS } = own
  return { boot, seq, uptimeS, measurements, rejected }
}

/** The record itself where it is no more than a measurement: this runs for every record of every device. */
function asMeasurement(record: ResolvedRecord): Measurement {
  if (record.sum === undefined) return record as Measurement
  const { name, unit, value, timeS } = record as Measurement
  return { name, unit, value, timeS }
}

interface Own {
  boot: string | null
  seq: number | null
  uptimeS: number | null
}

function takeOwn(own: Own, { name, value }: ResolvedRecord): string | null {
  if (name === 'boot') {
    if (own.boot !== null) return 'is there twice'
    if (typeof value !== 'string' || value.length === 0 || value.length > MAX_BOOT_LENGTH)
      return `must be text ("vs") of 1 to ${MAX_BOOT_LENGTH} characters`
    own.boot = value
  } else if (name === 'seq') {
    if (own.seq !== null) return 'is there twice'
    if (typeof value !== 'number' || !Number.isSafeInteger(value) || value < 0)
      return 'must be a whole number ("v") from 0'
    own.seq = value
  } else {
    if (own.uptimeS !== null) return 'is there twice'
    if (typeof value !== 'number' || value < 0) return 'must be a number of seconds ("v") from 0'
    own.uptimeS = value
  }
  return null
}

function problemOf(value: ResolvedRecord['value']): string | null {
  if (typeof value === 'number') return null
  if (value === undefined) return 'has a sum and no value; sums are not kept'
  if (typeof value === 'object') return 'carries data ("vd"); send a number'
  if (typeof value === 'string' && value.length > MAX_TEXT_LENGTH)
    return `its text is longer than ${MAX_TEXT_LENGTH} characters`
  return null
}

export interface PackToEncode {
  readonly boot: string | null
  readonly seq: number | null
  readonly uptimeS?: number | null
  readonly measurements: readonly Measurement[]
}

/**
 * Encode at the moment of sending, so that relative times are true.
 * @throws PackError when the pack breaks a limit or holds a number that is not finite.
 */
export function encodePack(pack: PackToEncode, encoding: 'json' | 'cbor'): Uint8Array {
  const records: Record<string, unknown>[] = []
  if (pack.boot !== null) records.push({ n: 'boot', vs: pack.boot })
  if (pack.seq !== null) records.push({ n: 'seq', v: finite('seq', pack.seq) })
  if (pack.uptimeS !== undefined && pack.uptimeS !== null)
    records.push({ n: 'uptime', u: 's', v: finite('uptime', pack.uptimeS) })
  for (const { name, unit, value, timeS } of pack.measurements) {
    const record: Record<string, unknown> = { n: name }
    if (unit !== null) record.u = unit
    if (typeof value === 'number') record.v = finite(name, value)
    else if (typeof value === 'string') record.vs = value
    else record.vb = value
    if (finite(name, timeS) !== 0) record.t = timeS
    records.push(record)
  }
  const bytes = encoding === 'json' ? writeSenmlJson(records) : writeSenmlCbor(records)
  if (records.length > MAX_RECORDS || bytes.length > MAX_PAYLOAD_BYTES) {
    throw new PackError(
      PackErrorCode.tooLarge,
      `Cannot write the pack: ${MAX_RECORDS} records and ${MAX_PAYLOAD_BYTES} bytes at most, got ${records.length} and ${bytes.length}`,
    )
  }
  return bytes
}

function finite(name: string, value: number): number {
  if (Number.isFinite(value)) return value
  throw new PackError(
    PackErrorCode.cannotEncode,
    `Cannot write record "${name}": numbers must be finite, got ${value}`,
  )
}
