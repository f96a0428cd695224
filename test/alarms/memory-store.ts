import type { BatchRow, Store } from '../../broker/store/contract.ts'

/** A store that keeps next to nothing: the rules are judged through a real room, without a disk. */
export function memoryStore(): Store {
  const batches = new Map<string, BatchRow>()
  const documents = new Map<string, string>()
  const none = () => Promise.resolve([])
  const parts: Partial<Store> = {
    assignments: none,
    devices: none,
    vessels: none,
    latest: none,
    lots: none,
    ruleMemory: none,
    samples: none,
    // No reading is kept, so no channel has columns.
    history: () => Promise.resolve({}),
    standingAlarms: none,
    batchEvents: none,
    watchLog: none,
    batch: id => Promise.resolve(batches.get(id)),
    batches: ({ vesselId, open } = {}) =>
      Promise.resolve(
        [...batches.values()]
          .filter(row => vesselId === undefined || row.vesselId === vesselId)
          .filter(row => open === undefined || (row.endedAtMs === null) === open)
          .sort((a, b) => b.startedAtMs - a.startedAtMs),
      ),
    keepBatch: row => Promise.resolve(void batches.set(row.id, row)),
    document: key => Promise.resolve(documents.get(key)),
    keepDocument: (key, json) => Promise.resolve(void documents.set(key, json)),
    dropReadings: () => Promise.resolve(0),
  }
  const nothing = () => Promise.resolve()
  return new Proxy(parts as Store, {
    get: (target, name: keyof Store) => (name in target ? (Reflect.get(target, name) as unknown) : nothing),
  })
}
