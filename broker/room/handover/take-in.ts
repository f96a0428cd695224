import { UNIT_KEPT, type Reading } from '../../intake/reading.ts'
import { AlarmState, Reason } from '../../rules/alarm.ts'
import { WatchKind, type Store } from '../../store/contract.ts'
import { broughtInDevice } from '../brought-in-device.ts'
import type { Room } from '../contract.ts'
import { AROUND_MS } from '../diagnosing/question.ts'
import { quantityOf } from '../roles.ts'
import { type Channel, eachSample } from './columns.ts'
import { HandoverError, Refusal } from './errors.ts'
import type { HandedOver } from './format.ts'
import { alarmsOf, assignmentsOf, batchOf, eventRowsOf, watchRowsOf } from './rows.ts'

/** Readings kept in one pack. */
const PACK = 500

export type TakeInStore = Pick<
  Store,
  | 'keepPack'
  | 'samples'
  | 'keepAlarm'
  | 'alarms'
  | 'keepWatch'
  | 'watchLog'
  | 'keepPhoto'
  | 'photo'
  | 'seal'
  | 'vessels'
>

/**
 * Takes a batch into this house's own books, as if it had been here, in a vessel that was put away since: it counts for its lot, and
 * its alarms are in the journal. Its devices keep apart from those that speak here.
 */
export async function takeIn(store: TakeInStore, room: Room, file: HandedOver): Promise<void> {
  const batch = batchOf(file)
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
  const assignments = assignmentsOf(file).map(row => ({
    ...row,
    device: broughtInDevice(row.device),
    toMs: Math.min(row.toMs ?? Infinity, endedAtMs + AROUND_MS),
  }))
  await room.adopt.ended({
    vessel,
    batch,
    assignments: assignments.filter(({ fromMs, toMs }) => fromMs < toMs),
    events: eventRowsOf(file),
    async keepReadings() {
      for (const channel of file.channels) await keepReadings(store, channel)
    },
  })
  await keepAlarms(store, file)
  await keepWatch(store, file)
  await keepPhotos(store, file)
  for (const device of new Set(file.channels.map(({ device }) => device)))
    await store.seal(broughtInDevice(device))
}

/** Another batch of the vessel may have brought the hours between them. */
async function keepReadings(store: TakeInStore, channel: Channel): Promise<void> {
  const device = broughtInDevice(channel.device)
  const quantity = quantityOf(channel.role)
  const all: Reading[] = []
  eachSample(channel, sample =>
    all.push({ channel: channel.channel, quantity, unit: UNIT_KEPT[quantity], ...sample }),
  )
  const [first, last] = [all[0], all.at(-1)]
  if (!first || !last) return
  const span = { fromMs: first.atMs, toMs: last.atMs + 1 }
  const kept = await store.samples([{ device, channel: channel.channel, offset: 0, ...span }])
  const here = new Set(kept.map(({ atMs }) => atMs))
  const readings = all.filter(({ atMs }) => !here.has(atMs))
  const waiting: Promise<void>[] = []
  for (let at = 0; at < readings.length; at += PACK) {
    const some = readings.slice(at, at + PACK)
    const receivedAtMs = some.at(-1)?.atMs ?? last.atMs
    waiting.push(store.keepPack({ device, boot: null, seq: null, receivedAtMs, readings: some }))
  }
  await Promise.all(waiting)
}

/** What still stood there is over here: nothing watches it. */
async function keepAlarms(store: TakeInStore, file: HandedOver): Promise<void> {
  const { startedAtMs, endedAtMs } = file.batch
  const toMs = endedAtMs ?? startedAtMs
  const here = new Set(
    (await store.alarms({ sinceMs: startedAtMs, beforeMs: toMs + 1, limit: 10_000 })).map(({ id }) => id),
  )
  const news = alarmsOf(file).filter(({ id }) => !here.has(id))
  const over = { state: AlarmState.normal, reason: Reason.notWatched }
  await Promise.all(
    [...news]
      .reverse()
      .map(alarm =>
        store.keepAlarm(
          alarm.state === AlarmState.normal
            ? alarm
            : { ...alarm, ...over, clearedAtMs: alarm.clearedAtMs ?? toMs },
        ),
      ),
  )
}

async function keepWatch(store: TakeInStore, file: HandedOver): Promise<void> {
  // When this house began to watch, and by which settings, is its own.
  const rows = watchRowsOf(file).filter(
    ({ kind, vesselId }) => kind !== WatchKind.began && kind !== WatchKind.settings && vesselId !== null,
  )
  const times = rows.map(({ atMs }) => atMs)
  if (times.length === 0) return
  const [fromMs, toMs] = [Math.min(...times), Math.max(...times) + 1]
  const here = new Set(
    (await store.watchLog({ fromMs, toMs, limit: 100_000 })).map(row => JSON.stringify(row)),
  )
  const news = rows.filter(row => !here.has(JSON.stringify(row)))
  await Promise.all(news.map(row => store.keepWatch(row)))
}

async function keepPhotos(store: TakeInStore, { batch, photos }: HandedOver): Promise<void> {
  for (const { id, media, createdAtMs, base64 } of photos) {
    if (await store.photo(id)) continue
    const body = new Uint8Array(Buffer.from(base64, 'base64'))
    await store.keepPhoto({ id, batchId: batch.id, media, createdAtMs, body })
  }
}
