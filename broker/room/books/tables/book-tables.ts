import { CleaningHow } from '../../../hatch/care/cleaning.ts'
import { HarvestGoal } from '../../../hatch/contract.ts'
import { KeptIn } from '../../../hatch/lot/use-by.ts'
import type { EntryRow, RecordRow } from '../../../store/books-contract.ts'
import type { BatchEventRow } from '../../../store/contract.ts'
import { CLEANINGS } from '../cleaning.ts'
import { DRAWS } from '../held.ts'
import { KeptLot } from '../lot-shelf.ts'
import { WEIGHINGS } from '../lots.ts'
import type { BookParts } from '../parts.ts'
import { KeptPreset } from '../presets.ts'
import { RowError, Taken, type Cell, type Column, type Row, type Table } from './contract.ts'
import { eventsByBatch } from './events.ts'
import { sameOr } from './house-tables.ts'
import { MOST_SALT_GPL } from '../../../hatch/recipe/most-salt.ts'

const id: Column = { key: 'id', type: 'text' }
const text = (key: string, optional = false): Column => ({ key, type: 'text', optional })
const time = (key: string, optional = false): Column => ({ key, type: 'time', unit: 'UTC', optional })
const date = (key: string): Column => ({ key, type: 'date', optional: true })
const number = (key: string, unit: string, from: number, to: number, optional = true): Column => ({
  key,
  type: 'number',
  unit,
  limits: { from, to },
  optional,
})
const cell = (row: Row, key: string): Cell => row[key] ?? null
const oneOf = (
  set: Readonly<Record<string, string>>,
  row: Row,
  key: string,
  optional = false,
): string | null => {
  const said = row[key] as string | null
  if ((said === null && optional) || Object.values(set).includes(said ?? '')) return said
  throw new RowError(`${key} must be one of ${Object.values(set).join(', ')}`)
}

export function lotTable(parts: BookParts): Table {
  return recordTable(parts, 'lot', {
    name: 'lots',
    about: 'lots of cysts',
    columns: [
      id,
      text('name'),
      date('openedOn'),
      text('keptIn', true),
      number('gramsBought', 'g', 0.001, 100_000),
      date('bestBefore'),
      text('note', true),
      time('createdAt'),
      time('putAwayAt', true),
    ],
    said: json => ({ ...KeptLot.parse(json) }),
    read: row => ({
      name: cell(row, 'name'),
      openedOn: cell(row, 'openedOn'),
      keptIn: oneOf(KeptIn, row, 'keptIn', true),
      gramsBought: cell(row, 'gramsBought'),
      bestBefore: cell(row, 'bestBefore'),
      note: cell(row, 'note'),
    }),
    unique: 'name',
  })
}

export function presetTable(parts: BookParts): Table {
  return recordTable(parts, 'preset', {
    name: 'recipes',
    about: 'recipes of one’s own',
    columns: [
      id,
      text('name'),
      text('vesselId', true),
      number('litres', 'L', 0.001, 100, false),
      number('cystsG', 'g', 0.001, 500, false),
      number('salinityGpl', 'g/L', 0, MOST_SALT_GPL, false),
      text('goal'),
      time('createdAt'),
      time('putAwayAt', true),
    ],
    said: json => ({ ...KeptPreset.parse(json) }),
    read: row => ({
      name: cell(row, 'name'),
      vesselId: cell(row, 'vesselId'),
      litres: cell(row, 'litres'),
      cystsG: cell(row, 'cystsG'),
      salinityGpl: cell(row, 'salinityGpl'),
      goal: oneOf(HarvestGoal, row, 'goal'),
    }),
  })
}

interface RecordShape {
  readonly name: string
  readonly about: string
  readonly columns: readonly Column[]
  readonly said: (json: unknown) => Row
  readonly read: (row: Row) => Row
  /** A field that no two records have in common. */
  readonly unique?: string
}

function recordTable({ store }: BookParts, kind: string, shape: RecordShape): Table {
  const { name, about, columns, said, read, unique } = shape
  const rowOf = ({ id, createdAtMs, endedAtMs, json }: RecordRow): Row => ({
    id,
    ...said(JSON.parse(json)),
    createdAt: createdAtMs,
    putAwayAt: endedAtMs,
  })
  return {
    name,
    about,
    columns,
    rows: async from => (await from.records(kind)).map(rowOf),
    async take(row) {
      const records = await store.records(kind)
      const known = records.find(each => each.id === row['id'])
      const wanted = read(row)
      if (sameOr(known && rowOf(known), row, name)) return Taken.same
      const taken = unique && records.find(each => said(JSON.parse(each.json))[unique] === wanted[unique])
      if (taken) {
        // A lot that batches named before its record came: the record that says more takes its place.
        if (!isBare(said(JSON.parse(taken.json)), unique))
          throw new RowError(`Cannot take the row: another has the ${unique} ${String(wanted[unique])}`)
        await store.dropRecord({ kind, id: taken.id })
      }
      const createdAtMs = Number(row['createdAt'])
      await store.keepRecord({
        kind,
        id: String(row['id']),
        createdAtMs,
        changedAtMs: createdAtMs,
        endedAtMs: row['putAwayAt'] as number | null,
        json: JSON.stringify(wanted),
      })
      return Taken.added
    },
  }
}

const isBare = (said: Row, but: string): boolean =>
  Object.entries(said).every(([key, value]) => key === but || value === null)

export function weighingTable(parts: BookParts): Table {
  return entryTable(parts, WEIGHINGS, {
    name: 'weighings',
    about: 'what was left of a lot when it was weighed',
    subject: 'lotId',
    columns: [number('gramsLeft', 'g', 0, 100_000, false)],
    read: row => ({ gramsLeft: cell(row, 'gramsLeft') }),
  })
}

export function drawTable(parts: BookParts): Table {
  return entryTable(parts, DRAWS, {
    name: 'draws',
    about: 'what was taken out of the refrigerator; no number is all that was left',
    subject: 'heldId',
    columns: [text('for'), number('nauplii', 'nauplii', 0, 1e9)],
    read: row => ({
      for: oneOf({ fed: 'fed', discarded: 'discarded' }, row, 'for'),
      nauplii: cell(row, 'nauplii'),
    }),
  })
}

export function cleaningTable(parts: BookParts): Table {
  return entryTable(parts, CLEANINGS, {
    name: 'cleanings',
    about: 'what was cleaned',
    subject: 'vesselId',
    columns: [text('how'), text('words', true)],
    read: row => ({ how: oneOf(CleaningHow, row, 'how'), words: cell(row, 'words') }),
  })
}

interface EntryShape {
  readonly name: string
  readonly about: string
  readonly subject: string
  readonly columns: readonly Column[]
  readonly read: (row: Row) => Row
}

function entryTable(
  { store }: BookParts,
  book: string,
  { name, about, subject, columns, read }: EntryShape,
): Table {
  const rowOf = (entry: EntryRow): Row => ({
    id: entry.id,
    [subject]: entry.subject,
    at: entry.atMs,
    recordedAt: entry.recordedAtMs,
    by: entry.by,
    ...(JSON.parse(entry.json) as Row),
    withdrawnAt: entry.withdrawnAtMs,
  })
  return {
    name,
    about,
    columns: [
      id,
      text(subject),
      time('at'),
      time('recordedAt'),
      text('by'),
      ...columns,
      time('withdrawnAt', true),
    ],
    rows: async from => (await from.entries(book)).map(rowOf),
    async take(row) {
      const known = (await store.entries(book)).find(each => each.id === row['id'])
      const said = read(row)
      if (sameOr(known && rowOf(known), row, name)) return Taken.same
      await store.keepEntry({
        id: String(row['id']),
        book,
        subject: String(row[subject]),
        atMs: Number(row['at']),
        recordedAtMs: Number(row['recordedAt']),
        by: String(row['by']),
        json: JSON.stringify(said),
        withdrawnAtMs: row['withdrawnAt'] as number | null,
      })
      return Taken.added
    },
  }
}

/** What was put in the cold, once more: the log has it too. */
export function heldTable({ store, room }: BookParts): Table {
  const rowOf = (event: BatchEventRow): Row => {
    const { nauplii, share, coldC, energyLeft, firstOutAtMs, words = null } = JSON.parse(event.json) as Row
    return {
      id: event.id,
      batchId: event.batchId,
      at: event.atMs,
      recordedAt: event.recordedAtMs,
      by: event.by,
      nauplii: nauplii ?? null,
      share: share ?? null,
      coldC: coldC ?? null,
      energyLeft: energyLeft ?? null,
      firstOutAt: firstOutAtMs ?? null,
      words,
      withdrawnAt: event.withdrawnAtMs,
    }
  }
  return {
    name: 'held',
    about: 'nauplii that were put in the cold',
    keyOf: row => String(row['id']),
    columns: [
      id,
      text('batchId'),
      time('at'),
      time('recordedAt'),
      text('by'),
      number('nauplii', 'nauplii', 0, 1e9),
      number('share', 'of the vessel', 0, 1),
      number('coldC', '°C', 0, 10),
      number('energyLeft', 'of 1', 0, 1),
      time('firstOutAt', true),
      text('words', true),
      time('withdrawnAt', true),
    ],
    rows: async from =>
      (await eventsByBatch(from))
        .filter(({ kind, json }) => kind === 'taken' && (JSON.parse(json) as Row)['for'] === 'held')
        .map(rowOf),
    async take(row) {
      const known = (await store.batchEvents(String(row['batchId']))).find(each => each.id === row['id'])
      if (sameOr(known && rowOf(known), row, 'portion')) return Taken.same
      const { nauplii, share, coldC, energyLeft, words } = row as Readonly<
        Record<string, string | number | null>
      >
      await room.adopt.event({
        id: String(row['id']),
        batchId: String(row['batchId']),
        atMs: Number(row['at']),
        recordedAtMs: Number(row['recordedAt']),
        by: String(row['by']),
        kind: 'taken',
        json: JSON.stringify({
          for: 'held',
          nauplii,
          share,
          coldC,
          energyLeft,
          firstOutAtMs: cell(row, 'firstOutAt'),
          ...(words === null ? {} : { words }),
        }),
        withdrawnAtMs: row['withdrawnAt'] as number | null,
      })
      return Taken.added
    },
  }
}
