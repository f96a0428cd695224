import type { EntryRow, PhotoRow, RecordRow } from '../books-contract.ts'
import type { BatchEventRow } from '../contract.ts'
import type { Db } from './database.ts'

/** The breeder's books: records, the logs that belong to them, and photos. */
export class BookRecords {
  readonly #keepRecord
  readonly #records
  readonly #dropRecord
  readonly #keepEntry
  readonly #entries
  readonly #keepPhoto
  readonly #photo
  readonly #totals
  readonly #eventsOfKind

  constructor(db: Db) {
    this.#keepRecord = db.prepare<[RecordRow]>(
      `INSERT INTO record (kind, id, created_ms, changed_ms, ended_ms, json)
       VALUES (@kind, @id, @createdAtMs, @changedAtMs, @endedAtMs, @json)
       ON CONFLICT (kind, id) DO UPDATE SET created_ms = excluded.created_ms, changed_ms = excluded.changed_ms,
         ended_ms = excluded.ended_ms, json = excluded.json`,
    )
    this.#records = db.prepare<[string], RecordRow>(
      `SELECT kind, id, created_ms AS createdAtMs, changed_ms AS changedAtMs, ended_ms AS endedAtMs, json
       FROM record WHERE kind = ? ORDER BY created_ms, rowid`,
    )
    this.#dropRecord = db.prepare<[string, string]>('DELETE FROM record WHERE kind = ? AND id = ?')
    this.#keepEntry = db.prepare<[EntryRow]>(
      `INSERT INTO entry (id, book, subject, at_ms, recorded_ms, "by", json, withdrawn_ms)
       VALUES (@id, @book, @subject, @atMs, @recordedAtMs, @by, @json, @withdrawnAtMs)
       ON CONFLICT (id) DO UPDATE SET book = excluded.book, subject = excluded.subject, at_ms = excluded.at_ms,
         recorded_ms = excluded.recorded_ms, "by" = excluded."by", json = excluded.json,
         withdrawn_ms = excluded.withdrawn_ms`,
    )
    this.#entries = db.prepare<[string], EntryRow>(
      `SELECT id, book, subject, at_ms AS atMs, recorded_ms AS recordedAtMs, "by", json, withdrawn_ms AS withdrawnAtMs
       FROM entry WHERE book = ? ORDER BY at_ms, rowid`,
    )
    this.#keepPhoto = db.prepare<[Omit<PhotoRow, 'body'> & { bytes: number; body: Uint8Array }]>(
      `INSERT INTO photo (id, batch, media, created_ms, bytes, body)
       VALUES (@id, @batchId, @media, @createdAtMs, @bytes, @body) ON CONFLICT (id) DO NOTHING`,
    )
    this.#photo = db.prepare<[string], Omit<PhotoRow, 'body'> & { body: Buffer }>(
      'SELECT id, batch AS batchId, media, created_ms AS createdAtMs, body FROM photo WHERE id = ?',
    )
    this.#totals = db.prepare<[string], { ofBatch: number; bytes: number }>(
      'SELECT coalesce(sum(batch = ?), 0) AS ofBatch, coalesce(sum(bytes), 0) AS bytes FROM photo',
    )
    this.#eventsOfKind = db.prepare<[string, number], BatchEventRow>(
      `SELECT e.id, e.batch AS batchId, e.at_ms AS atMs, e.recorded_ms AS recordedAtMs, e."by", e.kind, e.json,
         e.withdrawn_ms AS withdrawnAtMs
       FROM batch_event e JOIN batch b ON b.id = e.batch AND b.discarded_ms IS NULL
       WHERE e.kind = ? AND e.at_ms >= ? ORDER BY e.at_ms, e.rowid`,
    )
  }

  keepRecord(record: RecordRow): void {
    this.#keepRecord.run(record)
  }

  records(kind: string): RecordRow[] {
    return this.#records.all(kind)
  }

  dropRecord({ kind, id }: Pick<RecordRow, 'kind' | 'id'>): void {
    this.#dropRecord.run(kind, id)
  }

  keepEntry(entry: EntryRow): void {
    this.#keepEntry.run(entry)
  }

  entries(book: string): EntryRow[] {
    return this.#entries.all(book)
  }

  keepPhoto(photo: PhotoRow): void {
    this.#keepPhoto.run({ ...photo, bytes: photo.body.byteLength })
  }

  photo(id: string): PhotoRow | undefined {
    const row = this.#photo.get(id)
    return row && { ...row, body: new Uint8Array(row.body) }
  }

  photoTotals(batchId: string): { ofBatch: number; bytes: number } {
    return this.#totals.get(batchId) ?? { ofBatch: 0, bytes: 0 }
  }

  eventsOfKind(kind: string, sinceMs: number): BatchEventRow[] {
    return this.#eventsOfKind.all(kind, sinceMs)
  }
}
