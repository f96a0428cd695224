import type { Walk } from '../../broker/web/api/books.ts'
import { request } from '../state/api.ts'

/** What a walk's page asks of the broker, which keeps it at every tick. */
const path = (id: string, rest = ''): string => `/walks/${encodeURIComponent(id)}${rest}`

/** Begins a walk, or goes on with the one that is under way there. */
export const beginWalk = (kind: Walk['kind'], vesselId: string, draft?: Walk['draft']): Promise<Walk> =>
  request('POST', '/walks', { kind, vesselId, ...(draft ? { draft } : {}) })

/** As it is by now; none where it was finished or given up. */
export const readWalk = async (id: string): Promise<Walk | undefined> =>
  (await request<{ walks: Walk[] }>('GET', '/walks')).walks.find(walk => walk.id === id)

/** What is under way in a vessel, if anything is. */
export const walkOf = async (kind: Walk['kind'], vesselId: string): Promise<Walk | undefined> =>
  (await request<{ walks: Walk[] }>('GET', '/walks')).walks.find(
    walk => walk.kind === kind && walk.vesselId === vesselId,
  )

/** `at`: when it was done, where that was before. */
export const tick = (id: string, step: string, done: boolean, at?: string): Promise<Walk> =>
  request('POST', path(id, '/steps'), { step, done, ...(at === undefined ? {} : { at }) })

/** Some of its fields; the others stay, for another screen may be typing those. */
export const keepTyped = (id: string, draft: Walk['draft']): Promise<Walk> =>
  request('PATCH', path(id, '/draft'), { draft })

/** What was typed into its form: its fields that are text. */
export const textsOf = (draft: Walk['draft']): Readonly<Record<string, string>> =>
  Object.fromEntries(
    Object.entries(draft).flatMap(([name, value]) => (typeof value === 'string' ? [[name, value]] : [])),
  )

export const finishWalk = (id: string, body: object): Promise<{ batchId: string }> =>
  request('POST', path(id, '/finish'), body)

export const abandonWalk = (id: string): Promise<void> => request('POST', path(id, '/abandon'))

export const doneAt = (walk: Walk, step: string): string | null =>
  walk.steps.find(each => each.step === step)?.at ?? null
