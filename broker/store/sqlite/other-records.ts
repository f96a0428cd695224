import { QUARANTINE_PAYLOAD_BYTES, type QuarantineEntry } from '../../intake/reading.ts'
import type { QuarantineRow } from '../contract.ts'
import { MOST_QUARANTINED } from '../limits.ts'
import type { Db } from './database.ts'

/** What could not be read, and small documents by key. */
export class OtherRecords {
  readonly #quarantine
  readonly #dropOldest
  readonly #list
  readonly #keepDocument
  readonly #document

  constructor(db: Db) {
    this.#quarantine = db.prepare<[QuarantineEntry]>(
      `INSERT INTO quarantine (received_ms, device, topic, reason, detail, payload, bytes)
       VALUES (@receivedAtMs, @device, @topic, @reason, @detail, @payload, @bytes)`,
    )
    this.#dropOldest = db.prepare<[number]>('DELETE FROM quarantine WHERE id <= ?')
    this.#list = db.prepare<[number, number], Omit<QuarantineRow, 'payload'> & { payload: Buffer }>(
      `SELECT id, received_ms AS receivedAtMs, device, topic, reason, detail, payload, bytes FROM quarantine
       WHERE id < ? ORDER BY id DESC LIMIT ?`,
    )
    this.#keepDocument = db.prepare<[string, string]>(
      'INSERT INTO document (key, json) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET json = excluded.json',
    )
    this.#document = db.prepare<[string], string>('SELECT json FROM document WHERE key = ?').pluck()
  }

  keepQuarantine(entry: QuarantineEntry): void {
    const payload = entry.payload.subarray(0, QUARANTINE_PAYLOAD_BYTES)
    const { lastInsertRowid } = this.#quarantine.run({ ...entry, payload })
    this.#dropOldest.run(Number(lastInsertRowid) - MOST_QUARANTINED)
  }

  /** Newest first. */
  quarantine(limit: number, beforeId = Number.MAX_SAFE_INTEGER): QuarantineRow[] {
    return this.#list.all(beforeId, limit).map(row => ({ ...row, payload: new Uint8Array(row.payload) }))
  }

  keepDocument(key: string, json: string): void {
    this.#keepDocument.run(key, json)
  }

  document(key: string): string | undefined {
    return this.#document.get(key)
  }
}
