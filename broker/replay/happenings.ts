import { lineOf } from '../room/watch-log.ts'
import { type BatchRow, WatchKind } from '../store/contract.ts'
import type { WatchLines } from '../room/watch-log.ts'
import type { Recording } from './recording.ts'

/** What happened besides readings and the passing of time. */
export type Happening = { readonly atMs: number } & (
  | { readonly kind: 'began' }
  | { readonly kind: 'act'; readonly vesselId: string | null; readonly act: WatchLines['act'] }
  | { readonly kind: 'started' | 'ended' | 'written'; readonly batch: BatchRow }
  | { readonly kind: 'assigned'; readonly vesselId: string }
)

/** In the order of their times. What held already when the recording begins is not among them. */
export function happeningsOf(recording: Recording): Happening[] {
  const { fromMs, toMs, log, batches, events, assignments } = recording
  const all: Happening[] = []
  for (const row of log) {
    if (row.kind === WatchKind.began) all.push({ kind: 'began', atMs: row.atMs })
    const act = lineOf(row, WatchKind.act)
    if (act) all.push({ kind: 'act', atMs: row.atMs, vesselId: row.vesselId, act })
  }
  const inVessels = new Set(recording.vessels.map(({ id }) => id))
  for (const batch of batches) {
    if (!inVessels.has(batch.vesselId)) continue
    all.push({ kind: 'started', atMs: batch.startedAtMs, batch })
    if (batch.endedAtMs !== null) all.push({ kind: 'ended', atMs: batch.endedAtMs, batch })
    for (const { recordedAtMs, withdrawnAtMs } of events.get(batch.id) ?? []) {
      all.push({ kind: 'written', atMs: recordedAtMs, batch })
      if (withdrawnAtMs !== null) all.push({ kind: 'written', atMs: withdrawnAtMs, batch })
    }
  }
  const moves = new Map<string, Happening>()
  for (const { vesselId, fromMs: from, toMs: to } of assignments)
    for (const atMs of to === null ? [from] : [from, to])
      moves.set(`${atMs} ${vesselId}`, { kind: 'assigned', atMs, vesselId })
  all.push(...moves.values())
  return all.filter(({ atMs }) => atMs > fromMs && atMs < toMs).sort((a, b) => a.atMs - b.atMs)
}
