import type { BatchRow } from '../store/contract.ts'

/** So long before a batch the room is watched, so that what stood at its start is known, ms: as far back as the water is followed. */
export const WARM_UP_MS = 2 * 3_600_000
/** A batch that lasted longer was forgotten to be ended. */
export const LONGEST_BATCH_MS = 10 * 86_400_000
/** Batches that overlap are lived through together, up to so long a stretch, ms. */
const LONGEST_STRETCH_MS = 3 * 86_400_000

/** A stretch of the room's past, with the batches that are looked at in it, the newest first. */
export interface Stretch {
  readonly fromMs: number
  readonly toMs: number
  readonly batches: readonly BatchRow[]
}

/** Puts batches that overlap together, the newest stretch first. */
export function stretchesOf(batches: readonly BatchRow[], nowMs: number): Stretch[] {
  const stretches: { fromMs: number; toMs: number; batches: BatchRow[] }[] = []
  for (const batch of [...batches].sort((a, b) => b.startedAtMs - a.startedAtMs)) {
    const fromMs = batch.startedAtMs - WARM_UP_MS
    const toMs = (batch.endedAtMs ?? nowMs) + 1
    const last = stretches.at(-1)
    const whole = last && { fromMs: Math.min(last.fromMs, fromMs), toMs: Math.max(last.toMs, toMs) }
    if (last && whole && toMs > last.fromMs && whole.toMs - whole.fromMs <= LONGEST_STRETCH_MS)
      Object.assign(last, whole).batches.push(batch)
    else stretches.push({ fromMs, toMs, batches: [batch] })
  }
  return stretches
}
