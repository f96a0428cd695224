import { type Alarm, AlarmState, Reason } from '../../rules/alarm.ts'
import { slice } from '../../store/codec/columns.ts'
import { isMissing, qualityOf } from '../../store/codec/mark.ts'
import { WatchKind, type Store, type WatchRow } from '../../store/contract.ts'
import { ALL_PHOTOS_BYTES } from '../books/photos.ts'
import { othersFirst } from '../../turns.ts'
import { broughtInDevice } from '../brought-in-device.ts'
import type { Room } from '../contract.ts'
import { AROUND_MS } from '../diagnosing/question.ts'
import { quantityOf } from '../roles.ts'
import { HandoverError, Refusal } from './errors.ts'
import { rowsIn, unitOf, type Unpacked, type UnpackedChannel } from './unpacked.ts'

/** Readings kept in one pack, and packs on their way to the disk at once: some milliseconds of work. */
const PACK = 500
const PACKS_AT_ONCE = 10
/** Lines of the log kept at once, and over how long they may lie apart, ms: so much of the log is looked through for them. */
const LINES_AT_ONCE = 500
const LINES_WITHIN_MS = 6 * 3_600_000

export type TakeInStore = Pick<
  Store,
  | 'keepPack'
  | 'samples'
  | 'alarms'
  | 'keepWatch'
  | 'watchLog'
  | 'keepPhoto'
  | 'photo'
  | 'photoTotals'
  | 'seal'
  | 'vessels'
>

/**
 * Takes a batch into this house's own books, as if it had been here, in a vessel that was put away since: it counts for its lot, and
 * its alarms are in the journal. Its devices keep apart from those that speak here. What hangs on nothing is kept first, in pieces
 * between which everything else has its turn; the batch itself stands in the books with all of it or not at all, and after a failure
 * the same file can be taken again.
 */
export async function takeIn(store: TakeInStore, room: Room, file: Unpacked): Promise<void> {
  const { batch } = file
  const { endedAtMs } = batch
  if (endedAtMs === null)
    throw new HandoverError(
      Refusal.malformed,
      'Cannot take the batch into the books: it was open when the file was written; bring it in beside them',
      'batch.endedAtMs',
    )
  const known = (await store.vessels()).find(({ id }) => id === file.vessel.id)
  const vessel = {
    ...file.vessel,
    createdAtMs: Math.min(known?.createdAtMs ?? Infinity, batch.startedAtMs),
    retiredAtMs: known ? known.retiredAtMs : endedAtMs,
  }
  const assignments = file.assignments.map(row => ({
    ...row,
    device: broughtInDevice(row.device),
    toMs: Math.min(row.toMs ?? Infinity, endedAtMs + AROUND_MS),
  }))
  await room.adopt.ended({
    vessel,
    batch,
    assignments: assignments.filter(({ fromMs, toMs }) => fromMs < toMs),
    events: await rowsIn(file.events),
    alarms: await newAlarms(store, file, endedAtMs),
    async keepRest() {
      await keepPhotos(store, file)
      for (const channel of file.channels) await keepReadings(store, channel)
      await keepWatch(store, await rowsIn(file.watch))
    },
  })
  for (const device of new Set(file.channels.map(({ device }) => device)))
    await store.seal(broughtInDevice(device))
}

/** Another batch of the vessel may have brought the hours between them. */
async function keepReadings(
  store: TakeInStore,
  { role, channel, columns, ...of }: UnpackedChannel,
): Promise<void> {
  const device = broughtInDevice(of.device)
  const { at } = columns
  const [firstMs, lastMs] = [at[0], at.at(-1)]
  if (firstMs === undefined || lastMs === undefined) return
  const span = { fromMs: firstMs, toMs: lastMs + 1 }
  const kept = await store.samples([{ device, channel, offset: 0, ...span }])
  await othersFirst()
  const here = new Set(kept.map(({ atMs }) => atMs))
  const [quantity, unit] = [quantityOf(role), unitOf(role)]
  let waiting: Promise<void>[] = []
  for (let from = 0; from < at.length; from += PACK) {
    const some = slice(columns, from, from + PACK)
    const readings = Array.from(some.at, (atMs, n) => {
      const mark = some.mark[n]!
      return {
        channel,
        quantity,
        unit,
        atMs,
        value: isMissing(mark) ? null : some.value[n]!,
        quality: qualityOf(mark),
      }
    }).filter(({ atMs }) => !here.has(atMs))
    if (readings.length === 0) continue
    const receivedAtMs = readings.at(-1)?.atMs ?? lastMs
    waiting.push(store.keepPack({ device, boot: null, seq: null, receivedAtMs, readings }))
    if (waiting.length < PACKS_AT_ONCE) continue
    await allKept(waiting)
    await othersFirst()
    waiting = []
  }
  await allKept(waiting)
}

/** Those that are not here. What still stood there is over here: nothing watches it. */
async function newAlarms(store: TakeInStore, file: Unpacked, toMs: number): Promise<Alarm[]> {
  const standing = await store.alarms({
    sinceMs: file.batch.startedAtMs,
    beforeMs: toMs + 1,
    limit: 10_000,
  })
  const here = new Set(standing.map(({ id }) => id))
  await othersFirst()
  const over = { state: AlarmState.normal, reason: Reason.notWatched }
  return (await rowsIn(file.alarms))
    .filter(({ id }) => !here.has(id))
    .reverse()
    .map(alarm =>
      alarm.state === AlarmState.normal
        ? alarm
        : { ...alarm, ...over, clearedAtMs: alarm.clearedAtMs ?? toMs },
    )
}

async function keepWatch(store: TakeInStore, all: readonly WatchRow[]): Promise<void> {
  // When this house began to watch, and by which settings, is its own.
  const rows = all
    .filter(
      ({ kind, vesselId }) => kind !== WatchKind.began && kind !== WatchKind.settings && vesselId !== null,
    )
    .sort((a, b) => a.atMs - b.atMs)
  for (let from = 0, to = 0; from < rows.length; from = to) {
    const fromMs = rows[from]!.atMs
    while (to < rows.length && to - from < LINES_AT_ONCE && rows[to]!.atMs < fromMs + LINES_WITHIN_MS) to++
    const toMs = rows[to - 1]!.atMs + 1
    // Those of one moment are kept together: whether one is here is asked before.
    while (to < rows.length && rows[to]!.atMs < toMs) to++
    const lines = await store.watchLog({ fromMs, toMs, limit: 100_000 })
    const here = new Set(lines.map(row => JSON.stringify(row)))
    const news = rows.slice(from, to).filter(row => !here.has(JSON.stringify(row)))
    await allKept(news.map(row => store.keepWatch(row)))
    await othersFirst()
  }
}

async function keepPhotos(store: TakeInStore, { batch, photos }: Unpacked): Promise<void> {
  for (const photo of photos) {
    if (await store.photo(photo.id)) continue
    const { bytes } = await store.photoTotals(batch.id)
    if (bytes + photo.body.byteLength > ALL_PHOTOS_BYTES)
      throw new HandoverError(
        Refusal.full,
        `Cannot take the batch into the books: all photos together fill ${ALL_PHOTOS_BYTES / 1024 / 1024} MiB`,
      )
    await store.keepPhoto({ ...photo, batchId: batch.id })
    await othersFirst()
  }
}

/** Not before the last has its answer: whoever tries again looks at what is kept. */
async function allKept(waiting: readonly Promise<void>[]): Promise<void> {
  const failed = (await Promise.allSettled(waiting)).find(({ status }) => status === 'rejected')
  if (failed?.status === 'rejected') throw failed.reason
}
