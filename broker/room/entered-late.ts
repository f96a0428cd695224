import type { RoomStore } from './state.ts'

/** A start that is written down no later than this is one of now, ms. */
const LATE_MS = 15 * 60_000

interface Written {
  readonly id: string
  readonly startedAtMs: number
}

const keyOf = ({ id }: Written): string => `entered-late.${id}`

/**
 * Notes that a batch was written down long after its start: before that nobody was asked to do anything for it. One line a batch that
 * was so, never dropped.
 */
export async function noteEnteredLate(
  store: Pick<RoomStore, 'keepDocument'>,
  batch: Written,
  nowMs: number,
): Promise<void> {
  if (nowMs - batch.startedAtMs > LATE_MS) await store.keepDocument(keyOf(batch), JSON.stringify(nowMs))
}

/** Since when a batch has been known here, Unix ms: its start, or when it was written down later. */
export async function knownSince(store: Pick<RoomStore, 'document'>, batch: Written): Promise<number> {
  const json = await store.document(keyOf(batch))
  const notedMs: unknown = json === undefined ? null : JSON.parse(json)
  return typeof notedMs === 'number' ? Math.max(batch.startedAtMs, notedMs) : batch.startedAtMs
}
