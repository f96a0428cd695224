import type { Store } from '../../../store/contract.ts'

/** A value of a table's row. Times are Unix ms here, dates `2026-11-25`; both are written as people write them. */
export type Cell = string | number | boolean | null
export type Row = Readonly<Record<string, Cell>>

/** How a column is written and read. `json` is text that holds JSON. */
export const ColumnType = {
  text: 'text',
  number: 'number',
  whole: 'whole',
  time: 'time',
  date: 'date',
  flag: 'flag',
  json: 'json',
} as const
export type ColumnType = (typeof ColumnType)[keyof typeof ColumnType]

export interface Column {
  readonly key: string
  readonly type: ColumnType
  /** In the heading after the key: `g`, `g/L`, `UTC`. */
  readonly unit?: string
  /** May be empty. */
  readonly optional?: boolean
  readonly limits?: { readonly from: number; readonly to: number }
}

/** What became of a row that was brought in. */
export const Taken = { added: 'added', same: 'same' } as const
export type Taken = (typeof Taken)[keyof typeof Taken]

/** A row cannot be brought in; the message says why. */
export class RowError extends Error {
  override readonly name = 'RowError'
}

/** One kind of thing that can be written out and brought in again. Other parts of the house add their own with {@link Tables.add}. */
export interface Table {
  readonly name: string
  readonly about: string
  readonly columns: readonly Column[]
  /** All rows; of the store alone, so that it works beside the service. */
  rows(store: Store): Promise<Row[]>
  /**
   * Which row it is, where another table tells of the same: a row that came in with that one, in the same import, is as new as it.
   */
  readonly keyOf?: (row: Row) => string
  /** Brings one row in. The same row twice changes nothing; throws a {@link RowError} for what cannot be. */
  take(row: Row): Promise<Taken>
}

export interface Refusal {
  readonly table: string
  /** From 1, without the headings. */
  readonly row: number
  readonly why: string
}
export interface TableReport {
  readonly table: string
  /** Not here before the import. */
  readonly added: number
  readonly same: number
  readonly refused: number
}
export interface ImportReport {
  readonly tables: readonly TableReport[]
  /** The first 200; all of them are kept, see {@link Tables.setAside}. */
  readonly refusals: readonly Refusal[]
}
/** A row that was refused, as it came. */
export interface RowSetAside extends Refusal {
  readonly id: string
  readonly atMs: number
  readonly cells: Readonly<Record<string, string | number | boolean | null>>
}

export interface Tables {
  readonly all: readonly Table[]
  add(table: Table): void
  /** A table as RFC 4180 text with headings. */
  csv(name: string): Promise<string>
  /** Those named, or all, as one JSON document. */
  json(names?: readonly string[]): Promise<string>
  importCsv(name: string, text: string): Promise<ImportReport>
  importJson(text: string): Promise<ImportReport>
  /** Rows that were refused, the newest first. */
  setAside(): Promise<RowSetAside[]>
  dropSetAside(id: string): Promise<void>
}
