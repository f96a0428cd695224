import type { Compared } from '../../broker/web/api/compare.ts'
import { request } from '../state/api.ts'

/** A lot's batches, a vessel's, or the newest of all: both empty. */
export interface Asked {
  readonly lot: string
  readonly vesselId: string
}

let ahead: { readonly path: string; readonly answer: Promise<Compared> } | null = null

const ask = (path: string): Promise<Compared> => request<Compared>('GET', path)

function pathOf({ lot, vesselId }: Asked): string {
  return `/batches/compared?${new URLSearchParams({ ...(lot && { lot }), ...(vesselId && { vesselId }) })}`
}

/** Asks for the batches while the page that shows them is still being fetched. */
export function askGroupAhead(of: Asked): void {
  const path = pathOf(of)
  if (ahead?.path === path) return
  const answer = ask(path)
  // Whoever takes it sees that it failed; until then that is nobody's concern.
  answer.catch(() => undefined)
  ahead = { path, answer }
}

/** As they were asked for ahead, once; else as they are now. */
export function askGroup(of: Asked): Promise<Compared> {
  const path = pathOf(of)
  const taken = ahead?.path === path ? ahead.answer : ask(path)
  ahead = null
  return taken
}

export function askThese(batchIds: readonly string[]): Promise<Compared> {
  return ask(`/batches/compared?of=${batchIds.map(encodeURIComponent).join(',')}`)
}
