import type { z } from 'zod'
import type { BatchEvidence } from '../../hatch/lot/evidence.ts'
import type { Alarm } from '../../rules/alarm.ts'
import { ColumnBuilder, type Columnar } from '../../store/codec/columns.ts'
import {
  WatchKind,
  type AssignmentRow,
  type BatchEventRow,
  type BatchRow,
  type Store,
  type WatchRow,
} from '../../store/contract.ts'
import { eachInTurns, othersFirst } from '../../turns.ts'
import { evidenceFrom } from '../batch-evidence.ts'
import { BatchForecast, BEFORE_START_MS } from '../batch-forecast.ts'
import { eventOf } from '../batch-log.ts'
import { PHOTOS_OF_BATCH } from '../books/photos.ts'
import { KeptLot } from '../books/lot-shelf.ts'
import { RoomError, RoomErrorKind } from '../contract.ts'
import { AROUND_MS } from '../diagnosing/question.ts'
import { BATCHES_OF_A_LOT, evidenceKey } from '../lot-book.ts'
import { Routes } from '../routes.ts'
import { loadSettings } from '../settings.ts'
import type { RoomSettings } from '../contract.ts'
import { MOST_READINGS, pushSample } from './columns.ts'
import { HandoverError, Refusal } from './errors.ts'
import type { HandedOver, LotPart, PhotoPart } from './format.ts'

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
/** So much of a channel is read at once, ms: memory that is given back soon is given back fast. */
const AT_ONCE_MS = 2 * 3_600_000
/** An alarm's log may reach back to what was true before the batch, ms. */
const BEFORE_MS = 2 * 3_600_000

/** What a file is written from, as it was read: nothing of it took long, and all of it may go to another thread. */
export interface Gathered {
  readonly nowMs: number
  readonly program: string
  readonly names: boolean
  readonly batch: BatchRow
  readonly vessel: HandedOver['vessel']
  readonly lot: z.infer<typeof LotPart> | null
  readonly lotBefore: readonly BatchEvidence[]
  readonly settings: Pick<RoomSettings, 'altitudeM' | 'rules'>
  readonly channels: readonly GatheredChannel[]
  readonly events: readonly BatchEventRow[]
  readonly alarms: readonly Alarm[]
  readonly watch: readonly WatchRow[]
  readonly photos: readonly (Omit<z.infer<typeof PhotoPart>, 'media'> & { readonly media: string })[]
}

export interface GatheredChannel {
  readonly row: AssignmentRow
  /** From when on its readings were asked for, Unix ms. */
  readonly fromMs: number
  readonly columns: Columnar
}

/** The buffers that need not be copied when it goes to another thread. */
export function buffersOfGathered({ channels }: Gathered): ArrayBuffer[] {
  return channels.flatMap(({ columns: { at, value, mark } }) => [
    at.buffer,
    value.buffer,
    mark.buffer,
  ]) as ArrayBuffer[]
}

/** Reads all that is known of a batch. */
export async function gather(
  store: HandoverStore,
  batchId: string,
  { nowMs, program, names = true, photos = false }: WriteOptions,
): Promise<Gathered> {
  const batch = await store.batch(batchId)
  if (!batch) throw missing('batch', `no batch has the id ${batchId}`)
  const vessel = (await store.vessels()).find(({ id }) => id === batch.vesselId)
  if (!vessel) throw missing('batch', 'its vessel is not known')
  const routes = new Routes(await store.assignments())
  const { altitudeM, rules } = await loadSettings(store)
  const endMs = batch.endedAtMs ?? nowMs
  const inBatch = (row: { readonly vesselId: string | null }) =>
    row.vesselId === null || row.vesselId === batch.vesselId
  const events = await store.batchEvents(batch.id)
  return {
    nowMs,
    program,
    names,
    batch,
    vessel: { id: vessel.id, name: vessel.name, litres: vessel.litres },
    lot: await lotOf(store, batch),
    lotBefore: await lotBefore(store, routes, batch),
    settings: { altitudeM, rules },
    channels: await channelsOf(store, routes, batch, endMs),
    events,
    alarms: (
      await store.alarms({ sinceMs: batch.startedAtMs, beforeMs: endMs + 1, limit: MOST_ALARMS })
    ).filter(inBatch),
    watch: (await watchOf(store, batch, endMs)).filter(inBatch),
    photos: photos ? await photosOf(store, events) : [],
  }
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
  if (events.length > 0) await eachInTurns(await store.samples(sources), sample => development.take(sample))
  return evidenceFrom(batch, events, development)
}

async function channelsOf(
  store: HandoverStore,
  routes: Routes,
  { vesselId, startedAtMs }: BatchRow,
  endMs: number,
): Promise<GatheredChannel[]> {
  const [fromMs, toMs] = [startedAtMs - AROUND_MS, endMs + AROUND_MS]
  const rows = routes.of(vesselId).filter(row => row.fromMs < toMs && (row.toMs ?? Infinity) > fromMs)
  if (rows.length > MOST_CHANNELS)
    throw new HandoverError(
      Refusal.tooLarge,
      `Cannot write the batch out: a file holds ${MOST_CHANNELS} changes of its channels, and it had ${rows.length}`,
    )
  const channels: GatheredChannel[] = []
  for (const row of rows) {
    const { role, device, channel } = row
    const span = { fromMs: Math.max(fromMs, row.fromMs), toMs: Math.min(toMs, row.toMs ?? Infinity) }
    const columns = new ColumnBuilder()
    for (let fromMs = span.fromMs; fromMs < span.toMs; fromMs += AT_ONCE_MS) {
      const toMs = Math.min(span.toMs, fromMs + AT_ONCE_MS)
      const samples = await store.samples([{ device, channel, offset: 0, fromMs, toMs }])
      await eachInTurns(samples, sample => pushSample(columns, sample))
      if (columns.length > MOST_READINGS)
        throw new HandoverError(
          Refusal.tooLarge,
          `Cannot write the batch out: a file holds ${MOST_READINGS} readings of a channel, and ${role} has more`,
        )
    }
    channels.push({ row, fromMs: span.fromMs, columns: columns.build() })
    await othersFirst()
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

async function photosOf(store: HandoverStore, events: readonly BatchEventRow[]) {
  const photos: Gathered['photos'][number][] = []
  for (const { json } of events) {
    const said = JSON.parse(json) as object
    if (!('photoId' in said) || photos.length === PHOTOS_OF_BATCH) continue
    const photo = await store.photo(String(said.photoId))
    if (!photo) continue
    const { id, media, createdAtMs, body } = photo
    photos.push({ id, media, createdAtMs, base64: Buffer.from(body).toString('base64') })
  }
  return photos
}
