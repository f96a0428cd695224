/** A start can be taken back where it was made for so long, ms; later on the vessel's page, with a question. Own choice. */
export const UNDO_START_MS = 5 * 60_000

/** Until when each batch that was started on this screen can be taken back, by this device's clock. */
const until = new Map<string, number>()
/** Those that were started in a vessel whose cleaning was still asked for. */
const uncleaned = new Set<string>()

export function noteStarted(batchId: string, nowMs: number, isUncleaned = false): void {
  for (const [id, endMs] of until) if (endMs <= nowMs) until.delete(id)
  until.set(batchId, nowMs + UNDO_START_MS)
  if (isUncleaned) uncleaned.add(batchId)
}
export const startedUncleaned = (batchId: string): boolean => uncleaned.has(batchId)
export const justStarted = (batchId: string, nowMs: number): boolean => nowMs < (until.get(batchId) ?? 0)
export const takenBack = (batchId: string): void => void until.delete(batchId)
