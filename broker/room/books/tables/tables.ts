import { z } from 'zod'
import type { RecordRow } from '../../../store/books-contract.ts'
import { RoomError } from '../../contract.ts'
import { invalid, notFound, type BookParts } from '../parts.ts'
import { headingOf, keyOf, ofText, readRow, toJson, toText } from './cells.ts'
import {
  RowError,
  Taken,
  type ImportReport,
  type Refusal,
  type RowSetAside,
  type Table,
  type TableReport,
  type Tables,
} from './contract.ts'
import { CsvError, csvText, readCsv } from './csv.ts'

const SET_ASIDE = 'row-set-aside'
/** Refused rows kept, the newest; and how many a report lists. */
export const MOST_SET_ASIDE = 1000
const LISTED = 200
/** What the document says of itself. */
const VERSION = 1

const Document = z.object({
  brinewatch: z.literal(VERSION),
  tables: z.record(z.string(), z.array(z.record(z.string(), z.unknown()))),
})

type Cells = Readonly<Record<string, unknown>>

/** Everything that can be written out and brought in again, table by table in the order in which one leans on another. */
export function createTables(parts: BookParts, first: readonly Table[]): Tables {
  const { store, clock, newId } = parts
  const all = [...first]
  return {
    all,
    add: table => void all.push(table),

    async csv(name) {
      const table = find(name)
      const { columns } = table
      const lines = (await table.rows(store)).map(row =>
        columns.map(column => toText(column, row[column.key] ?? null)),
      )
      return csvText([columns.map(headingOf), ...lines])
    },

    async json(names) {
      const chosen = names === undefined ? all : names.map(find)
      const tables: Record<string, unknown> = {}
      for (const table of chosen)
        tables[table.name] = (await table.rows(store)).map(row =>
          Object.fromEntries(
            table.columns.map(column => [headingOf(column), toJson(column, row[column.key] ?? null)]),
          ),
        )
      const exportedAt = new Date(clock()).toISOString()
      return `${JSON.stringify({ brinewatch: VERSION, exportedAt, tables }, null, 1)}\n`
    },

    async importCsv(name, text) {
      const table = find(name)
      const [headings = [], ...lines] = parsed(() => readCsv(text))
      const keys = headings.map(keyOf)
      refuseOtherUnits(table, headings)
      refuseUnknown(table, keys)
      const cellsOf = (line: readonly string[]) =>
        Object.fromEntries(keys.map((key, at) => [key, ofText(line[at] ?? '')]))
      return bringIn([{ table, rows: lines.map(cellsOf) }])
    },

    async importJson(text) {
      const read = Document.safeParse(parsed(() => JSON.parse(text) as unknown))
      if (!read.success) throw invalid('Cannot read the document: it is none that was exported here', 'body')
      const { tables } = read.data
      for (const name of Object.keys(tables)) find(name)
      return bringIn(
        all.flatMap(table => {
          const rows = tables[table.name]
          if (!rows) return []
          refuseOtherUnits(table, [...new Set(rows.flatMap(Object.keys))])
          return [{ table, rows: rows.map(byKey) }]
        }),
      )
    },

    async setAside() {
      return (await store.records(SET_ASIDE)).map(setAsideOf).reverse()
    },
    async dropSetAside(id) {
      if (!(await store.records(SET_ASIDE)).some(row => row.id === id)) throw notFound('row', id)
      await store.dropRecord({ kind: SET_ASIDE, id })
    },
  }

  function find(name: string): Table {
    const table = all.find(each => each.name === name)
    if (table) return table
    throw invalid(
      `Cannot find the table ${name}: there are ${all.map(each => each.name).join(', ')}`,
      'table',
    )
  }

  async function bringIn(chosen: readonly { table: Table; rows: readonly Cells[] }[]): Promise<ImportReport> {
    const refusals: Refusal[] = []
    const tables: TableReport[] = []
    const known = new Map((await store.records(SET_ASIDE)).map(row => [sameAs(setAsideOf(row)), row.id]))
    // Taken before the first row: a batch's log brings what other tables tell of the same.
    const before = new Map<Table, Set<string>>()
    for (const { table } of chosen)
      if (table.keyOf) before.set(table, new Set((await table.rows(store)).map(table.keyOf)))
    for (const { table, rows } of chosen) {
      const report = { table: table.name, added: 0, same: 0, refused: 0 }
      for (const [at, cells] of rows.entries()) {
        try {
          const row = readRow(table.columns, cells)
          const taken = await table.take(row)
          report[isNewHere(before.get(table), table.keyOf?.(row)) ? Taken.added : taken]++
        } catch (error) {
          if (!(error instanceof RowError || error instanceof RoomError)) throw error
          report.refused++
          const refusal = { table: table.name, row: at + 1, why: error.message }
          refusals.push(refusal)
          if (refusals.length <= MOST_SET_ASIDE) await putAside(known, refusal, cells)
        }
      }
      tables.push(report)
    }
    await dropOldest()
    parts.changed()
    return { tables, refusals: refusals.slice(0, LISTED) }
  }

  /** As it came, so that nothing is lost; the same row again is the same row. */
  async function putAside(known: Map<string, string>, refusal: Refusal, cells: Cells): Promise<void> {
    const json = JSON.stringify({ ...refusal, cells })
    const key = sameAs({ ...refusal, cells })
    const nowMs = clock()
    const id = known.get(key) ?? newId()
    known.set(key, id)
    const row: RecordRow = {
      kind: SET_ASIDE,
      id,
      createdAtMs: nowMs,
      changedAtMs: nowMs,
      endedAtMs: null,
      json,
    }
    await store.keepRecord(row)
  }

  async function dropOldest(): Promise<void> {
    const rows = await store.records(SET_ASIDE)
    for (const { kind, id } of rows.slice(0, Math.max(0, rows.length - MOST_SET_ASIDE)))
      await store.dropRecord({ kind, id })
  }
}

/** Whether a row of this key was not here, and did not come yet. */
function isNewHere(here: Set<string> | undefined, key: string | undefined): boolean {
  if (here === undefined || key === undefined || here.has(key)) return false
  here.add(key)
  return true
}

function setAsideOf({ id, createdAtMs, json }: RecordRow): RowSetAside {
  return { id, atMs: createdAtMs, ...(JSON.parse(json) as Refusal & Pick<RowSetAside, 'cells'>) }
}

const sameAs = ({ table, cells }: { table: string; cells: Cells }): string => JSON.stringify([table, cells])

const byKey = (row: Cells): Cells =>
  Object.fromEntries(Object.entries(row).map(([heading, cell]) => [keyOf(heading), cell]))

/**
 * Numbers of another unit would be taken for those of ours. A heading without a unit is taken as ours: files that were written before a
 * column had one come in like any other.
 */
function refuseOtherUnits({ name, columns }: Table, headings: readonly string[]): void {
  for (const [at, heading] of headings.entries()) {
    const column = columns.find(({ key }) => key === keyOf(heading))
    const unit = /\[(.*)\]/.exec(heading)?.[1]?.trim()
    if (column === undefined || unit === undefined || unit === (column.unit ?? '')) continue
    const place = `column ${at + 1} is headed “${heading.trim()}”`
    throw invalid(`Cannot read the table ${name}: ${place}, and must be “${headingOf(column)}”`, 'body')
  }
}

function refuseUnknown({ name, columns }: Table, keys: readonly string[]): void {
  const known = new Set(columns.map(({ key }) => key))
  const missing = columns.find(({ key, optional }) => optional !== true && !keys.includes(key))
  if (missing) throw invalid(`Cannot read the table ${name}: it has no column ${headingOf(missing)}`, 'body')
  const odd = keys.find(key => !known.has(key))
  if (odd !== undefined) throw invalid(`Cannot read the table ${name}: it has no column named ${odd}`, 'body')
}

function parsed<T>(read: () => T): T {
  try {
    return read()
  } catch (error) {
    if (error instanceof CsvError) throw invalid(error.message, 'body')
    if (error instanceof SyntaxError) throw invalid('Cannot read the document: it is no JSON', 'body')
    throw error
  }
}
