import type { Replay } from '../../broker/web/api/replay.ts'
import { request } from '../state/api.ts'

let ahead: { readonly batchId: string; readonly answer: Promise<Replay> } | null = null

const ask = (batchId: string): Promise<Replay> =>
  request<Replay>('GET', `/batches/${encodeURIComponent(batchId)}/replay`)

/** Asks for a batch while the page that shows it is still being fetched. */
export function askAhead(batchId: string): void {
  if (batchId === '' || ahead?.batchId === batchId) return
  const answer = ask(batchId)
  // Whoever takes it sees that it failed; until then that is nobody's concern.
  answer.catch(() => undefined)
  ahead = { batchId, answer }
}

/** The batch: as it was asked for ahead, once; else as it is now. */
export function askReplay(batchId: string): Promise<Replay> {
  const taken = ahead?.batchId === batchId ? ahead.answer : ask(batchId)
  ahead = null
  return taken
}
