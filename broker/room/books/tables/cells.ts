import { dateMs } from '../dates.ts'
import { ColumnType, RowError, type Cell, type Column, type Row } from './contract.ts'
import { asPlainText, fromPlainText } from './csv.ts'

/** `cystsG [g]`, `startedAt [UTC]`, `name`. */
export const headingOf = ({ key, unit }: Column): string => (unit === undefined ? key : `${key} [${unit}]`)
/** The key of a heading, whatever unit stands behind it. */
export const keyOf = (heading: string): string => heading.replace(/\s*\[.*$/, '').trim()

const iso = (atMs: number): string => new Date(atMs).toISOString()

/** A cell as it is written into a table of text. */
export function toText({ type }: Column, cell: Cell): string {
  if (cell === null) return ''
  if (type === ColumnType.time) return iso(Number(cell))
  if (type === ColumnType.flag) return cell === true ? 'yes' : 'no'
  return typeof cell === 'string' ? asPlainText(cell) : String(cell)
}

/** A cell as it is written into JSON. */
export function toJson({ type }: Column, cell: Cell): unknown {
  if (cell === null) return null
  if (type === ColumnType.time) return iso(Number(cell))
  return type === ColumnType.json ? (JSON.parse(String(cell)) as unknown) : cell
}

/** The other way: cells as they came, of text or of JSON, checked against the columns. Throws a {@link RowError} that names the cell. */
export function readRow(columns: readonly Column[], cells: Readonly<Record<string, unknown>>): Row {
  return Object.fromEntries(columns.map(column => [column.key, readCell(column, cells[column.key])]))
}

/** A cell of text as it was before {@link toText}. */
export const ofText = (cell: string): string => fromPlainText(cell)

function readCell(column: Column, said: unknown): Cell {
  const { key, type, optional = false } = column
  if (said === undefined || said === null || said === '') {
    if (optional) return null
    throw new RowError(`${headingOf(column)} is missing`)
  }
  switch (type) {
    case ColumnType.text:
      if (typeof said === 'string' && said.length <= 4000) return said
      break
    case ColumnType.json:
      return jsonText(key, said)
    case ColumnType.date:
      if (typeof said === 'string' && dateMs(said) !== null) return said
      throw new RowError(`${key} must be a date like 2026-11-25, got ${shown(said)}`)
    case ColumnType.time: {
      const atMs = typeof said === 'string' ? Date.parse(said) : NaN
      // Without its zone a time may be hours off.
      if (Number.isFinite(atMs) && typeof said === 'string' && /(Z|[+-]\d\d:?\d\d)$/.test(said)) return atMs
      throw new RowError(`${key} must be a time like 2026-11-25T06:40:00Z, got ${shown(said)}`)
    }
    case ColumnType.flag:
      if (said === true || said === 'yes' || said === 'true') return true
      if (said === false || said === 'no' || said === 'false') return false
      throw new RowError(`${key} must be yes or no, got ${shown(said)}`)
    case ColumnType.number:
    case ColumnType.whole:
      return numberOf(column, said)
  }
  throw new RowError(`${key} must be text, got ${shown(said)}`)
}

function numberOf({ key, type, limits }: Column, said: unknown): number {
  const value =
    typeof said === 'number' ? said : typeof said === 'string' ? Number(said.replace(',', '.')) : NaN
  if (!Number.isFinite(value)) throw new RowError(`${key} must be a number, got ${shown(said)}`)
  if (type === ColumnType.whole && !Number.isInteger(value))
    throw new RowError(`${key} must be a whole number, got ${shown(said)}`)
  if (limits && (value < limits.from || value > limits.to))
    throw new RowError(`${key} must be ${limits.from} to ${limits.to}, got ${shown(said)}`)
  return value
}

function jsonText(key: string, said: unknown): string {
  if (typeof said !== 'string') return JSON.stringify(said)
  try {
    return JSON.stringify(JSON.parse(said))
  } catch {
    throw new RowError(`${key} must be JSON, got ${shown(said)}`)
  }
}

const shown = (said: unknown): string => JSON.stringify(said)?.slice(0, 60) ?? 'nothing'
