import { StoreError, StoreErrorCode, type Store } from '../../broker/store/contract.ts'
import type { DeviceRow, QuarantineRow, SessionRow, TokenRow } from '../../broker/store/contract.ts'

/** The part of a store that the web uses, in memory. What else is called fails the test. */
export interface FakeStore extends Store {
  readonly sessionRows: Map<string, SessionRow>
  readonly tokenRows: TokenRow[]
  readonly deviceRows: (DeviceRow & { secretHash: string })[]
  readonly quarantineRows: QuarantineRow[]
  readonly documents: Map<string, string>
  /** Thrown by every write while set. */
  failing: StoreError | null
}

export function fakeStore(): FakeStore {
  const sessionRows = new Map<string, SessionRow>()
  const tokenRows: TokenRow[] = []
  const deviceRows: FakeStore['deviceRows'] = []
  const quarantineRows: QuarantineRow[] = []
  const documents = new Map<string, string>()
  const writable = (): void => {
    if (store.failing) throw store.failing
  }
  const parts: Partial<FakeStore> = {
    sessionRows,
    tokenRows,
    deviceRows,
    quarantineRows,
    documents,
    failing: null,
    settled: async () => writable(),
    quarantine: async (limit, beforeId = Infinity) =>
      quarantineRows
        .filter(row => row.id < beforeId)
        .sort((a, b) => b.id - a.id)
        .slice(0, limit),
    keepDocument: async (key, json) => {
      writable()
      documents.set(key, json)
    },
    document: async key => documents.get(key),
    addDevice: async ({ name, secretHash, createdAtMs }) => {
      writable()
      if (deviceRows.some(row => row.name === name && row.revokedAtMs === null)) {
        throw new StoreError(StoreErrorCode.duplicate, `Cannot add device: the name ${name} is taken`)
      }
      deviceRows.push({ name, secretHash, createdAtMs, revokedAtMs: null })
    },
    devices: async () => deviceRows,
    // No batch from elsewhere, no vessel that was put away; what is own the room has.
    records: async () => [],
    vessels: async () => [],
    batch: async () => undefined,
    tokens: async () => tokenRows,
    keepSession: async row => {
      writable()
      sessionRows.set(row.hash, row)
    },
    session: async hash => sessionRows.get(hash),
    dropSession: async hash => void sessionRows.delete(hash),
    dropExpiredSessions: async nowMs => {
      for (const [hash, row] of sessionRows) if (row.expiresAtMs < nowMs) sessionRows.delete(hash)
    },
  }
  const store = new Proxy(parts as FakeStore, {
    get(target, name: keyof FakeStore) {
      if (name in target) return Reflect.get(target, name) as unknown
      throw new Error(`The web is not meant to call store.${String(name)}`)
    },
  })
  return store
}
