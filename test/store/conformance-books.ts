import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import type { Store } from '../../broker/store/contract.ts'
import type { Place } from './conformance.ts'
import { batch, batchEvent, entry, photo, record, START_MS } from './examples.ts'

/** What the breeder's books are kept in. */
export function storeBooks(name: string, makePlace: () => Promise<Place>): void {
  describe(`${name}: what every store does with the books`, () => {
    let place: Place
    let store: Store
    beforeEach(async () => {
      place = await makePlace()
      store = await place.open()
    })
    afterEach(async () => {
      await store.close()
      await place.dispose()
    })
    const reopen = async () => {
      await store.close()
      store = await place.open()
    }

    it('keeps records by kind and id, in the order in which they were made, until they are dropped', async () => {
      await store.keepRecord(record('r2', { createdAtMs: START_MS + 5 }))
      await store.keepRecord(record('r1'))
      await store.keepRecord(record('r1', { kind: 'walk', json: '{}' }))
      await store.keepRecord(record('r1', { endedAtMs: START_MS + 9, json: '{"name":"new"}' }))
      await reopen()
      expect(await store.records('lot')).toEqual([
        record('r1', { endedAtMs: START_MS + 9, json: '{"name":"new"}' }),
        record('r2', { createdAtMs: START_MS + 5 }),
      ])
      await store.dropRecord({ kind: 'lot', id: 'r1' })
      await reopen()
      expect((await store.records('lot')).map(({ id }) => id)).toEqual(['r2'])
      expect(await store.records('walk')).toHaveLength(1)
    })

    it('keeps entries by id, log by log, in the order of their time', async () => {
      await store.keepEntry(entry('n2', { atMs: START_MS + 5 }))
      await store.keepEntry(entry('n1'))
      await store.keepEntry(entry('n3', { book: 'draw' }))
      await store.keepEntry(entry('n1', { withdrawnAtMs: START_MS + 9 }))
      await reopen()
      expect(await store.entries('weighing')).toEqual([
        entry('n1', { withdrawnAtMs: START_MS + 9 }),
        entry('n2', { atMs: START_MS + 5 }),
      ])
    })

    it('keeps a photo once, byte for byte, and counts them', async () => {
      await store.keepPhoto(photo('p1', 300))
      await store.keepPhoto(photo('p1', 10))
      await store.keepPhoto(photo('p2', 100, { batchId: 'b2' }))
      await reopen()
      expect(await store.photo('p1')).toEqual(photo('p1', 300))
      expect(await store.photo('none')).toBeUndefined()
      expect(await store.photoTotals('b1')).toEqual({ ofBatch: 1, bytes: 400 })
      expect(await store.photoTotals('none')).toEqual({ ofBatch: 0, bytes: 400 })
    })

    it('finds the entries of one kind in all logs but those of discarded batches', async () => {
      for (const id of ['b1', 'b2']) await store.keepBatch(batch(id))
      await store.keepBatchEvent(batchEvent('e1', { batchId: 'b1', kind: 'taken', atMs: START_MS + 2 }))
      await store.keepBatchEvent(batchEvent('e2', { batchId: 'b2', kind: 'taken', atMs: START_MS + 3 }))
      await store.keepBatchEvent(batchEvent('e3', { batchId: 'b1', kind: 'note', atMs: START_MS + 4 }))
      await store.keepBatchEvent(batchEvent('e4', { batchId: 'b1', kind: 'taken', atMs: START_MS + 1 }))
      const ids = async (sinceMs: number) => (await store.eventsOfKind('taken', sinceMs)).map(({ id }) => id)
      expect(await ids(0)).toEqual(['e4', 'e1', 'e2'])
      expect(await ids(START_MS + 2)).toEqual(['e1', 'e2'])
      await store.discardBatch('b2', START_MS + 9)
      expect(await ids(0)).toEqual(['e4', 'e1'])
    })
  })
}
