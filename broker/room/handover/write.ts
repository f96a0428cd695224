import { promisify } from 'node:util'
import { gzip } from 'node:zlib'
import type { BatchEvidence } from '../../hatch/lot/evidence.ts'
import { UNIT_KEPT } from '../../intake/reading.ts'
import { WatchKind, type BatchRow, type Store, type WatchRow } from '../../store/contract.ts'
import { evidenceFrom } from '../batch-evidence.ts'
import { BatchForecast, BEFORE_START_MS } from '../batch-forecast.ts'
import { eventOf } from '../batch-log.ts'
import { PHOTOS_OF_BATCH } from '../books/photos.ts'
import { KeptLot } from '../books/lot-shelf.ts'
import { RoomError, RoomErrorKind } from '../contract.ts'
import { AROUND_MS } from '../diagnosing/question.ts'
import { BATCHES_OF_A_LOT, evidenceKey } from '../lot-book.ts'
import { quantityOf } from '../roles.ts'
import { Routes } from '../routes.ts'
import { loadSettings } from '../settings.ts'
import { MOST_READINGS, packed, type Channel } from './columns.ts'
import { HandoverError, Refusal } from './errors.ts'
import { FORMAT, FORMAT_VERSION, HandedOver } from './format.ts'
import { withoutNames } from './names.ts'

/** What of the store a file is written from: all of it only reads. */
export type HandoverStore = Pick<
  Store,
  | 'batch'
  | 'batches'
  | 'vessels'
  | 'assignments'
  | 'batchEvents'
  | 'samples'
  | 'alarms'
  | 'watchLog'
  | 'document'
  | 'records'
  | 'photo'
>

export interface WriteOptions {
  readonly nowMs: number
  /** Which program writes it. */
  readonly program: string
  /** Who did what; left out with `false`. */
  readonly names?: boolean
  readonly photos?: boolean
}

/** As many as the format holds; the newest, where there are more. */
const MOST_ALARMS = 2000
const MOST_LINES = 20_000
const MOST_CHANNELS = 60
/** An alarm's log may reach back to what was true before the batch, ms. */
const BEFORE_MS = 2 * 3_600_000

/** All that is known of a batch, as one document. */
export async function handOver(
  store: HandoverStore,
  batchId: string,
  { nowMs, program, names = true, photos = false }: WriteOptions,
): Promise<HandedOver> {
  const batch = await store.batch(batchId)
  if (!batch) throw missing('batch', `no batch has the id ${batchId}`)
  const vessel = (await store.vessels()).find(({ id }) => id === batch.vesselId)
  if (!vessel) throw missing('batch', 'its vessel is not known')
  const routes = new Routes(await store.assignments())
  const { altitudeM, rules } = await loadSettings(store)
  const { vesselId, ...whatWentIn } = batch
  const endMs = batch.endedAtMs ?? nowMs
  const inBatch = (row: { readonly vesselId: string | null }) =>
    row.vesselId === null || row.vesselId === vesselId
  const events = (await store.batchEvents(batch.id)).map(row => {
    const { id, atMs, recordedAtMs, by, withdrawnAtMs, kind, json } = row
    return { id, atMs, recordedAtMs, by, withdrawnAtMs, said: { kind, ...(JSON.parse(json) as object) } }
  })
  const file = {
    format: FORMAT,
    version: FORMAT_VERSION,
    written: { at: new Date(nowMs).toISOString(), by: program, names },
    batch: whatWentIn,
    vessel: { id: vessel.id, name: vessel.name, litres: vessel.litres },
    lot: await lotOf(store, batch),
    lotBefore: await lotBefore(store, routes, batch),
    settings: { altitudeM, rules },
    channels: await channelsOf(store, routes, batch, endMs),
    events,
    alarms: (
      await store.alarms({ sinceMs: batch.startedAtMs, beforeMs: endMs + 1, limit: MOST_ALARMS })
    ).filter(inBatch),
    watch: (await watchOf(store, batch, endMs)).filter(inBatch).map(({ json, ...row }) => ({
      ...row,
      line: JSON.parse(json) as unknown,
    })),
    photos: photos ? await photosOf(store, events) : [],
  }
  // Read as the other side will read it: what could not be brought in is not written out.
  const { data, error } = HandedOver.safeParse(file)
  if (!data) {
    const [first] = error.issues
    const rule = `${first?.path.join('.') ?? ''}: ${first?.message ?? ''}`
    throw new HandoverError(Refusal.malformed, `Cannot write the batch out: ${rule}`)
  }
  return names ? data : withoutNames(data)
}

const zip = promisify(gzip)

/** The document as the bytes of a file. */
export async function bytesOf(file: HandedOver): Promise<Uint8Array<ArrayBuffer>> {
  return new Uint8Array(await zip(JSON.stringify(file)))
}

/** What a file is called: by its vessel and its day, in letters that every file system takes. */
export function fileName({ vessel, batch }: Pick<HandedOver, 'vessel' | 'batch'>): string {
  const name = vessel.name
    .normalize('NFKD')
    .replace(/[^A-Za-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .toLowerCase()
  return `${name || 'batch'}-${new Date(batch.startedAtMs).toISOString().slice(0, 10)}.batch.json.gz`
}

const missing = (what: string, rule: string) =>
  new RoomError(RoomErrorKind.notFound, `Cannot find ${what}: ${rule}`)

async function lotOf(store: HandoverStore, { lot }: BatchRow) {
  if (lot === null) return null
  for (const { json } of await store.records('lot')) {
    const kept = KeptLot.safeParse(JSON.parse(json)).data
    if (kept?.name !== lot) continue
    const { openedOn, keptIn, bestBefore, note } = kept
    return { openedOn, keptIn, bestBefore, note }
  }
  return null
}

async function lotBefore(store: HandoverStore, routes: Routes, batch: BatchRow): Promise<BatchEvidence[]> {
  if (batch.lot === null) return []
  const found: BatchEvidence[] = []
  for (const other of await store.batches({ lot: batch.lot, limit: BATCHES_OF_A_LOT })) {
    if (other.id === batch.id || other.startedAtMs >= batch.startedAtMs) continue
    const json = other.endedAtMs === null ? undefined : await store.document(evidenceKey(other))
    const evidence =
      json === undefined ? await reckoned(store, routes, other) : (JSON.parse(json) as BatchEvidence)
    found.push(evidence)
  }
  return found.sort((a, b) => a.startedAtMs - b.startedAtMs)
}

/** What a batch showed, where nobody has reckoned it yet. */
async function reckoned(store: HandoverStore, routes: Routes, batch: BatchRow): Promise<BatchEvidence> {
  const events = (await store.batchEvents(batch.id)).map(row => eventOf(row, batch))
  const development = new BatchForecast(batch)
  const untilMs = batch.endedAtMs === null ? Number.MAX_SAFE_INTEGER : batch.endedAtMs + 1
  const sources = routes.sources(batch.vesselId, 'water', batch.startedAtMs - BEFORE_START_MS, untilMs)
  if (events.length > 0) for (const sample of await store.samples(sources)) development.take(sample)
  return evidenceFrom(batch, events, development)
}

async function channelsOf(
  store: HandoverStore,
  routes: Routes,
  { vesselId, startedAtMs }: BatchRow,
  endMs: number,
): Promise<Channel[]> {
  const [fromMs, toMs] = [startedAtMs - AROUND_MS, endMs + AROUND_MS]
  const rows = routes.of(vesselId).filter(row => row.fromMs < toMs && (row.toMs ?? Infinity) > fromMs)
  if (rows.length > MOST_CHANNELS)
    throw new HandoverError(
      Refusal.tooLarge,
      `Cannot write the batch out: a file holds ${MOST_CHANNELS} changes of its channels, and it had ${rows.length}`,
    )
  const channels: Channel[] = []
  for (const row of rows) {
    const { id: assignmentId, role, device, channel, offset, gain, uncertainty, ...held } = row
    const span = { fromMs: Math.max(fromMs, held.fromMs), toMs: Math.min(toMs, held.toMs ?? Infinity) }
    const samples = await store.samples([{ device, channel, offset: 0, ...span }])
    if (samples.length > MOST_READINGS)
      throw new HandoverError(
        Refusal.tooLarge,
        `Cannot write the batch out: a file holds ${MOST_READINGS} readings of a channel, and ${role} has ${samples.length}`,
      )
    const readings = packed(role, samples, span.fromMs)
    const set = {
      offset,
      ...(gain === undefined ? {} : { gain }),
      ...(uncertainty === undefined ? {} : { uncertainty }),
    }
    channels.push({
      role,
      device,
      channel,
      unit: UNIT_KEPT[quantityOf(role)],
      assignmentId,
      ...set,
      ...held,
      readings,
    })
  }
  return channels
}

async function watchOf(store: HandoverStore, batch: BatchRow, endMs: number): Promise<WatchRow[]> {
  const fromMs = batch.startedAtMs - BEFORE_MS
  const before = (kind: WatchKind, limit: number) =>
    store.watchLog({ fromMs: 0, toMs: fromMs, kinds: [kind], limit, newest: true })
  const lamps = await before(WatchKind.lamp, 1000)
  const known = [
    ...(await before(WatchKind.settings, 1)),
    ...lamps.filter(({ vesselId }) => vesselId === batch.vesselId).slice(-1),
  ]
  const rest = await store.watchLog({ fromMs, toMs: endMs + AROUND_MS, limit: MOST_LINES - 2, newest: true })
  return [...known, ...rest]
}

async function photosOf(store: HandoverStore, events: readonly { readonly said: object }[]) {
  const photos = []
  for (const { said } of events) {
    if (!('photoId' in said) || photos.length === PHOTOS_OF_BATCH) continue
    const photo = await store.photo(String(said.photoId))
    if (!photo) continue
    const { id, media, createdAtMs, body } = photo
    photos.push({ id, media, createdAtMs, base64: Buffer.from(body).toString('base64') })
  }
  return photos
}
