import type { BatchEventRow } from './contract.ts'

/** One record of the breeder's books: a lot, a preset, a walk. What it says is JSON, opaque here. */
export interface RecordRow {
  readonly kind: string
  readonly id: string
  readonly createdAtMs: number
  readonly changedAtMs: number
  /** When it was put away; `null` while it is of use. */
  readonly endedAtMs: number | null
  readonly json: string
}

/** One line of a log that belongs to something other than a batch. Lines are withdrawn, never deleted. */
export interface EntryRow {
  readonly id: string
  /** Which log: `weighing`, `draw`, `cleaning`, `change`. */
  readonly book: string
  /** What it is about: the id of a lot, a vessel, a held portion. */
  readonly subject: string
  readonly atMs: number
  readonly recordedAtMs: number
  readonly by: string
  readonly json: string
  readonly withdrawnAtMs: number | null
}

export interface PhotoRow {
  readonly id: string
  readonly batchId: string
  /** `image/jpeg`, `image/png` or `image/webp`. */
  readonly media: string
  readonly createdAtMs: number
  readonly body: Uint8Array
}

/** What the breeder's notebook held, as far as it is kept: part of the store's contract. */
export interface BookStore {
  /** Inserts or replaces by kind and id. */
  keepRecord(record: RecordRow): Promise<void>
  /** In the order in which they were made; those put away among them. */
  records(kind: string): Promise<RecordRow[]>
  dropRecord(key: { readonly kind: string; readonly id: string }): Promise<void>

  /** Inserts or replaces by id. */
  keepEntry(entry: EntryRow): Promise<void>
  /** Of one log, in the order of their time, withdrawn ones among them. */
  entries(book: string): Promise<EntryRow[]>

  /** A photo is kept once and never changed. */
  keepPhoto(photo: PhotoRow): Promise<void>
  photo(id: string): Promise<PhotoRow | undefined>
  /** How many photos are kept, all together and of one batch, and their bytes. */
  photoTotals(batchId: string): Promise<{ readonly ofBatch: number; readonly bytes: number }>

  /** Of all batches that were not discarded, those of one kind since a moment, in the order of their time. */
  eventsOfKind(kind: string, sinceMs: number): Promise<BatchEventRow[]>
}
