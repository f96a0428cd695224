import { gunzip } from 'node:zlib'
import { promisify } from 'node:util'
import { beyondBounds } from '../../json-bounds.ts'
import { mediaOf, unfitToShow } from '../books/photos.ts'
import { mismatch } from './columns.ts'
import { HandoverError, Refusal } from './errors.ts'
import { FORMAT, FORMAT_VERSION, HandedOver } from './format.ts'

/** What a file may weigh, packed and unpacked: twice what 60 h at one reading a second and twelve photos come to. */
export const PACKED_BYTES = 24 * 1024 * 1024
export const UNPACKED_BYTES = 64 * 1024 * 1024

/** Several times what the largest batch has: 60 channels' readings in columns, 20,000 lines of the watch. */
const BOUNDS = { depth: 32, containers: 1_000_000, keys: 1_000_000, names: 10_000, values: 16_000_000 }

/** A file may have a million fields that nobody knows, and the message names them. */
const LONGEST_WORDS = 300

/** What a line of the log of the watch may be written with, in characters: fifty times what the longest has. Others may add fields. */
const LONGEST_LINE = 64 * 1024

const MiB = (bytes: number) => `${Math.round(bytes / 1024 / 1024)} MiB`
const unzip = promisify(gunzip)

/** Reads a file, packed or not. @throws HandoverError that says what is wrong, and where. */
export async function read(bytes: Uint8Array): Promise<HandedOver> {
  if (bytes.byteLength > PACKED_BYTES) throw tooLarge(PACKED_BYTES)
  const json = await unpacked(bytes)
  const beyond = beyondBounds(json, BOUNDS)
  if (beyond !== null)
    throw new HandoverError(
      Refusal.malformed,
      `Cannot bring the batch in: the file is ${beyond}, and no batch is`,
    )
  return checked(parse(Buffer.from(json.buffer, json.byteOffset, json.byteLength).toString('utf8')))
}

function tooLarge(most: number): HandoverError {
  return new HandoverError(Refusal.tooLarge, `Cannot bring the batch in: the file may weigh ${MiB(most)}`)
}

/** Told by the first two bytes, RFC 1952 section 2.3.1. */
async function unpacked(bytes: Uint8Array): Promise<Uint8Array> {
  if (bytes[0] !== 0x1f || bytes[1] !== 0x8b) return bytes
  try {
    return await unzip(bytes, { maxOutputLength: UNPACKED_BYTES })
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ERR_BUFFER_TOO_LARGE') throw tooLarge(UNPACKED_BYTES)
    throw new HandoverError(Refusal.malformed, 'Cannot bring the batch in: the file is cut off or damaged')
  }
}

function parse(text: string): unknown {
  try {
    return JSON.parse(text) as unknown
  } catch {
    throw new HandoverError(Refusal.notOurs, 'Cannot bring the batch in: the file is no JSON')
  }
}

function checked(json: unknown): HandedOver {
  const { format, version } = (json ?? {}) as { format?: unknown; version?: unknown }
  if (format !== FORMAT)
    throw new HandoverError(
      Refusal.notOurs,
      `Cannot bring the batch in: it is no file of the format ${FORMAT}`,
    )
  if (typeof version === 'number' && version > FORMAT_VERSION)
    throw new HandoverError(
      Refusal.newer,
      `Cannot bring the batch in: the file is of version ${version}, and this brinewatch reads up to ${FORMAT_VERSION}; bring this one up to date first`,
      'version',
    )
  const { data, error } = HandedOver.safeParse(json)
  if (!data) {
    const [first] = error.issues
    const field = first?.path.join('.') ?? ''
    throw malformed(
      `${field === '' ? 'the file' : field}: ${(first?.message ?? 'it is malformed').slice(0, LONGEST_WORDS)}`,
      field,
    )
  }
  checkWhole(data)
  return data
}

/** What no field tells by itself. */
function checkWhole({ batch, channels, vessel, alarms, events, watch, photos }: HandedOver): void {
  const { startedAtMs, endedAtMs } = batch
  if (endedAtMs !== null && endedAtMs < startedAtMs)
    throw malformed('batch.endedAtMs: it lies before the start', 'batch.endedAtMs')
  for (const [at, channel] of channels.entries()) {
    const wrong = mismatch(channel)
    if (wrong !== null) throw malformed(`channels.${at}: ${wrong}`, `channels.${at}`)
  }
  for (const [at, { line }] of watch.entries())
    if (JSON.stringify(line).length > LONGEST_LINE)
      throw malformed(`watch.${at}.line: it is longer than ${LONGEST_LINE / 1024} KiB`, `watch.${at}.line`)
  for (const [at, { vesselId }] of alarms.entries())
    if (vesselId !== null && vesselId !== vessel.id)
      throw malformed(`alarms.${at}.vesselId: it is of another vessel`, `alarms.${at}.vesselId`)
  for (const [at, { media, base64 }] of photos.entries()) {
    const body = Buffer.from(base64, 'base64')
    const wrong = mediaOf(body) === media ? unfitToShow(body) : `it is no ${media}`
    if (wrong !== null) throw malformed(`photos.${at}: ${wrong}`, `photos.${at}`)
  }
  for (const [part, rows] of Object.entries({ alarms, events }))
    if (new Set(rows.map(({ id }) => id)).size < rows.length)
      throw malformed(`${part}: an id stands twice`, part)
}

const malformed = (rule: string, field: string) =>
  new HandoverError(Refusal.malformed, `Cannot bring the batch in: ${rule}`, field)
