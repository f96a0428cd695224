import type { EntryRow, PhotoRow, RecordRow } from '../../broker/store/books-contract.ts'
import type { BatchEventRow, Store } from '../../broker/store/contract.ts'
import { rowOf } from '../../broker/room/batch-log.ts'
import { openBooks } from '../../broker/room/books/books.ts'
import type { Books } from '../../broker/room/books/contract.ts'
import type { FakeRoom } from './fake-room.ts'
import type { FakeStore } from './fake-store.ts'

/** The real books over the room that has no physics, and over as much of a store as they want. */
export function booksOver(room: FakeRoom, documents: FakeStore, clock: () => number): Books {
  const records = new Map<string, RecordRow>()
  const entries = new Map<string, EntryRow>()
  const photos = new Map<string, PhotoRow>()
  const batches: Store['batches'] = query => room.batches({ limit: 1000, ...query })
  const batchEvents = async (batchId: string): Promise<BatchEventRow[]> =>
    room.batchRows.has(batchId) ? (await room.batchEvents(batchId)).map(rowOf) : []
  const parts: Partial<Store> = {
    keepRecord: async row => void records.set(`${row.kind} ${row.id}`, row),
    records: async kind => [...records.values()].filter(row => row.kind === kind),
    dropRecord: async ({ kind, id }) => void records.delete(`${kind} ${id}`),
    keepEntry: async row => void entries.set(row.id, row),
    entries: async book => [...entries.values()].filter(row => row.book === book),
    keepPhoto: async row => void photos.set(row.id, row),
    photo: async id => photos.get(id),
    photoTotals: async batchId => {
      const all = [...photos.values()]
      const bytes = all.reduce((sum, { body }) => sum + body.byteLength, 0)
      return { ofBatch: all.filter(photo => photo.batchId === batchId).length, bytes }
    },
    vessels: async () => [...room.vesselViews.values()].map(({ row }) => row),
    batches,
    batch: async id => room.batchRows.get(id),
    batchEvents,
    async eventsOfKind(kind, sinceMs) {
      const rows = await Promise.all([...room.batchRows.keys()].map(batchEvents))
      return rows.flat().filter(row => row.kind === kind && row.atMs >= sinceMs)
    },
    lots: async () =>
      (await room.lots()).map(({ name, batches, lastUsedAtMs }) => ({ name, batches, lastUsedAtMs })),
    document: key => documents.document(key),
    keepDocument: (key, json) => documents.keepDocument(key, json),
  }
  const store = new Proxy(parts as Store, {
    get(target, name: keyof Store) {
      if (name in target) return Reflect.get(target, name) as unknown
      throw new Error(`The books are not meant to call store.${String(name)}`)
    },
  })
  let made = 0
  return openBooks({
    store,
    // It is not the books that the tests of the feed count as listeners.
    room: { ...room, onChange: () => () => undefined },
    clock,
    newId: () => `book-${++made}`,
    logger: { error: () => undefined },
  })
}
