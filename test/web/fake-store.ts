import { StoreError, StoreErrorCode, type Store } from '../../broker/store/contract.ts'
import type { RecordRow } from '../../broker/store/books-contract.ts'
import type { AuditRow, DeviceRow, QuarantineRow, SessionRow, TokenRow } from '../../broker/store/contract.ts'

/** The part of a store that the web uses, in memory. What else is called fails the test. */
export interface FakeStore extends Store {
  readonly sessionRows: Map<string, SessionRow>
  readonly tokenRows: TokenRow[]
  readonly deviceRows: (DeviceRow & { secretHash: string; offeredHash?: string })[]
  readonly recordRows: RecordRow[]
  readonly quarantineRows: QuarantineRow[]
  readonly documents: Map<string, string>
  readonly auditRows: AuditRow[]
  /** Thrown by every write while set. */
  failing: StoreError | null
}

export function fakeStore(): FakeStore {
  const sessionRows = new Map<string, SessionRow>()
  const tokenRows: TokenRow[] = []
  const deviceRows: FakeStore['deviceRows'] = []
  const recordRows: RecordRow[] = []
  const quarantineRows: QuarantineRow[] = []
  const documents = new Map<string, string>()
  const auditRows: AuditRow[] = []
  const writable = (): void => {
    if (store.failing) throw store.failing
  }
  const parts: Partial<FakeStore> = {
    sessionRows,
    tokenRows,
    deviceRows,
    recordRows,
    quarantineRows,
    documents,
    auditRows,
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
      const row = { name, secretHash, createdAtMs, revokedAtMs: null }
      const at = deviceRows.findIndex(each => each.name === name)
      if (at < 0) deviceRows.push(row)
      else deviceRows[at] = row
    },
    revokeDevice: async (name, revokedAtMs) =>
      change(
        row => row.name === name && row.revokedAtMs === null,
        row => ({ ...row, revokedAtMs }),
      ),
    removeDevice: async (name, removedAtMs) =>
      change(
        row => row.name === name && row.revokedAtMs !== null && row.removedAtMs === undefined,
        row => ({ ...row, removedAtMs }),
      ),
    offerDeviceSecret: async ({ name, secretHash: offeredHash, untilMs: offeredUntilMs }) =>
      change(
        row => row.name === name && row.revokedAtMs === null,
        row => ({ ...row, offeredHash, offeredUntilMs }),
      ),
    records: async kind => recordRows.filter(row => row.kind === kind),
    keepRecord: async row => {
      writable()
      const at = recordRows.findIndex(each => each.kind === row.kind && each.id === row.id)
      if (at < 0) recordRows.push(row)
      else recordRows[at] = row
    },
    dropRecord: async ({ kind, id }) => {
      writable()
      const at = recordRows.findIndex(row => row.kind === kind && row.id === id)
      if (at >= 0) recordRows.splice(at, 1)
    },
    devices: async () => deviceRows,
    // No vessel that was put away; what is own the room has.
    vessels: async () => [],
    batch: async () => undefined,
    tokens: async () => tokenRows,
    keepToken: async row => {
      writable()
      tokenRows.push(row)
    },
    dropToken: async name => {
      writable()
      const at = tokenRows.findIndex(row => row.name === name)
      if (at >= 0) tokenRows.splice(at, 1)
      return at >= 0
    },
    keepAudit: async line => {
      writable()
      auditRows.push({ ...line, id: auditRows.length + 1 })
    },
    audit: async (limit, beforeId = Infinity) =>
      auditRows
        .filter(row => row.id < beforeId)
        .reverse()
        .slice(0, limit),
    sessions: async () => [...sessionRows.values()],
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
  function change(
    isIt: (row: FakeStore['deviceRows'][number]) => boolean,
    into: (row: FakeStore['deviceRows'][number]) => FakeStore['deviceRows'][number],
  ): boolean {
    writable()
    const at = deviceRows.findIndex(isIt)
    if (at >= 0) deviceRows[at] = into(deviceRows[at]!)
    return at >= 0
  }
  const store = new Proxy(parts as FakeStore, {
    get(target, name: keyof FakeStore) {
      if (name in target) return Reflect.get(target, name) as unknown
      throw new Error(`The web is not meant to call store.${String(name)}`)
    },
  })
  return store
}
