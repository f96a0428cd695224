import { BATCHES_OF_A_LOT, evidenceKey } from '../room/lot-book.ts'
import { lineOf } from '../room/watch-log.ts'
import { type BatchEventRow, type BatchRow, type Store, WatchKind, type WatchRow } from '../store/contract.ts'
import type { Recording } from './recording.ts'

/** What of the store a recording is made of: all of it only reads. */
export type RecordingStore = Pick<
  Store,
  'vessels' | 'assignments' | 'batches' | 'batchEvents' | 'document' | 'watchLog' | 'samples'
>

/** Lines of the log that one recording takes in; a busy room writes a few hundred a day. */
const MOST_LINES = 50_000
/** Batches that are looked through for those of the stretch. */
const MOST_BATCHES = 5000
/** Readings of the stretch may have come so long after it, ms: the longest that devices keep them is a matter of days. */
const LATE_MS = 14 * 86_400_000

/** Reads the room's past between two moments: of every vessel that had a channel then, because one's alarm may be another's cause. */
export async function readRecording(
  store: RecordingStore,
  { fromMs, toMs }: { readonly fromMs: number; readonly toMs: number },
): Promise<Recording> {
  const within = <Row extends { readonly fromMs: number; readonly toMs: number | null }>(row: Row) =>
    row.fromMs < toMs && (row.toMs ?? Infinity) > fromMs
  const assignments = await store.assignments()
  const ids = new Set(assignments.filter(within).map(({ vesselId }) => vesselId))
  const vessels = (await store.vessels()).filter(({ id }) => ids.has(id))
  const batches = await batchesWith(store, ids, fromMs, toMs)
  const events = new Map<string, readonly BatchEventRow[]>()
  const documents = new Map<string, string>()
  for (const batch of batches) {
    events.set(batch.id, await store.batchEvents(batch.id))
    if (batch.endedAtMs === null || batch.endedAtMs > fromMs) continue
    const json = await store.document(evidenceKey(batch))
    if (json !== undefined) documents.set(evidenceKey(batch), json)
  }
  const log = await store.watchLog({ fromMs, toMs, limit: MOST_LINES })
  const late = await store.watchLog({
    fromMs: toMs,
    toMs: toMs + LATE_MS,
    kinds: [WatchKind.backlog],
    limit: MOST_LINES,
  })
  return {
    fromMs,
    toMs,
    vessels,
    // What held before, too: it is followed from further back than it is judged.
    assignments: assignments.filter(row => ids.has(row.vesselId) && row.fromMs < toMs),
    batches,
    events,
    documents,
    lamps: lampsOf(
      await store.watchLog({ fromMs: 0, toMs: fromMs, kinds: [WatchKind.lamp], limit: 1000, newest: true }),
    ),
    log: [...log, ...late],
    samples: sources => store.samples(sources),
  }
}

async function batchesWith(
  store: RecordingStore,
  vessels: ReadonlySet<string>,
  fromMs: number,
  toMs: number,
): Promise<BatchRow[]> {
  const all = (await store.batches({ limit: MOST_BATCHES })).filter(({ startedAtMs }) => startedAtMs < toMs)
  const within = all.filter(
    ({ vesselId, endedAtMs }) => vessels.has(vesselId) && (endedAtMs ?? Infinity) >= fromMs,
  )
  const wanted = new Set(within)
  for (const lot of new Set(within.map(batch => batch.lot)))
    if (lot !== null)
      for (const batch of all.filter(row => row.lot === lot).slice(0, BATCHES_OF_A_LOT)) wanted.add(batch)
  return all.filter(batch => wanted.has(batch))
}

function lampsOf(log: readonly WatchRow[]): Record<string, boolean> {
  const lamps: Record<string, boolean> = {}
  for (const row of log) {
    const line = lineOf(row, WatchKind.lamp)
    if (line && row.vesselId !== null) lamps[row.vesselId] = line.heats
  }
  return lamps
}
