import type { BatchEventRow } from '../contract.ts'
import type { Db } from './database.ts'

/** What people saw and did with their batches. */
export class EventRecords {
  readonly #keep
  readonly #list

  constructor(db: Db) {
    this.#keep = db.prepare<[BatchEventRow]>(
      `INSERT INTO batch_event (id, batch, at_ms, recorded_ms, "by", kind, json, withdrawn_ms)
       VALUES (@id, @batchId, @atMs, @recordedAtMs, @by, @kind, @json, @withdrawnAtMs)
       ON CONFLICT (id) DO UPDATE SET batch = excluded.batch, at_ms = excluded.at_ms,
         recorded_ms = excluded.recorded_ms, "by" = excluded."by", kind = excluded.kind, json = excluded.json,
         withdrawn_ms = excluded.withdrawn_ms`,
    )
    this.#list = db.prepare<[string], BatchEventRow>(
      `SELECT id, batch AS batchId, at_ms AS atMs, recorded_ms AS recordedAtMs, "by", kind, json,
         withdrawn_ms AS withdrawnAtMs
       FROM batch_event WHERE batch = ? ORDER BY at_ms, rowid`,
    )
  }

  keep(event: BatchEventRow): void {
    this.#keep.run(event)
  }

  /** In the order of their time. */
  list(batchId: string): BatchEventRow[] {
    return this.#list.all(batchId)
  }
}
