import { HarvestGoal } from '../../../hatch/contract.ts'
import type { BatchEventRow, BatchRow, VesselRow } from '../../../store/contract.ts'
import type { BookParts } from '../parts.ts'
import { ColumnType, RowError, Taken, type Column, type Row, type Table } from './contract.ts'
import { sameSaid } from './differs.ts'
import { EventBody, eventsByBatch } from './events.ts'
import { MOST_SALT_GPL } from '../../../hatch/recipe/most-salt.ts'

const id: Column = { key: 'id', type: 'text' }
const time = (key: string, optional = false): Column => ({ key, type: 'time', unit: 'UTC', optional })
const text = (key: string, optional = false): Column => ({ key, type: 'text', optional })
const number = (key: string, unit: string, from: number, to: number, optional = false): Column => ({
  key,
  type: 'number',
  unit,
  limits: { from, to },
  optional,
})

/** What is known already and differs is not written over: it is refused, and kept aside. */
export const sameOr = <T extends object>(known: T | undefined, wanted: T, what: string): boolean =>
  known !== undefined && sameSaid(known, wanted, what)

export function vesselTable({ store, room }: BookParts): Table {
  return {
    name: 'vessels',
    about: 'hatch vessels, those taken out of the room among them',
    columns: [
      id,
      text('name'),
      number('litres', 'L', 0.001, 100),
      time('createdAt'),
      time('retiredAt', true),
    ],
    rows: async from =>
      (await from.vessels()).map(({ createdAtMs, retiredAtMs, ...row }) => ({
        ...row,
        createdAt: createdAtMs,
        retiredAt: retiredAtMs,
      })),
    async take(row) {
      const wanted: VesselRow = {
        id: String(row['id']),
        name: String(row['name']),
        litres: Number(row['litres']),
        createdAtMs: Number(row['createdAt']),
        retiredAtMs: row['retiredAt'] as number | null,
      }
      const known = (await store.vessels()).find(each => each.id === wanted.id)
      if (sameOr(known, wanted, 'vessel')) return Taken.same
      await room.adopt.vessel(wanted)
      return Taken.added
    },
  }
}

export function batchTable({ store, room }: BookParts): Table {
  return {
    name: 'batches',
    about: 'batches, open ones among them',
    columns: [
      id,
      text('vesselId'),
      time('startedAt'),
      time('endedAt', true),
      number('litres', 'L', 0.001, 100),
      number('cystsG', 'g', 0.001, 500),
      number('salinityGpl', 'g/L', 0, MOST_SALT_GPL),
      text('lot', true),
      text('goal'),
      text('note', true),
    ],
    rows: async from =>
      (await from.batches()).reverse().map(({ startedAtMs, endedAtMs, ...row }) => ({
        ...row,
        startedAt: startedAtMs,
        endedAt: endedAtMs,
      })),
    async take(row) {
      const wanted = batchOf(row)
      if (sameOr(await store.batch(wanted.id), wanted, 'batch')) return Taken.same
      if (!(await store.vessels()).some(vessel => vessel.id === wanted.vesselId))
        throw new RowError(
          `Cannot take the batch: no vessel has the id ${wanted.vesselId}; bring the vessels in first`,
        )
      await room.adopt.batch(wanted)
      return Taken.added
    },
  }
}

function batchOf(row: Row): BatchRow {
  const goal = Object.values(HarvestGoal).find(each => each === row['goal'])
  if (!goal) throw new RowError(`goal must be one of ${Object.values(HarvestGoal).join(', ')}`)
  return {
    id: String(row['id']),
    vesselId: String(row['vesselId']),
    startedAtMs: Number(row['startedAt']),
    endedAtMs: row['endedAt'] as number | null,
    litres: Number(row['litres']),
    cystsG: Number(row['cystsG']),
    salinityGpl: Number(row['salinityGpl']),
    lot: row['lot'] as string | null,
    goal,
    note: row['note'] as string | null,
  }
}

const kept: readonly Column[] = [
  id,
  text('batchId'),
  time('at'),
  time('recordedAt'),
  text('by'),
  text('kind'),
  time('withdrawnAt', true),
]

/** All that was written into the batches' logs, counts and held portions among it. Photos' bytes are in a backup alone. */
export function logTable({ store, room }: BookParts): Table {
  return {
    name: 'log',
    about: 'what was seen, measured and done with the batches, as it was written down',
    columns: [...kept, { key: 'details', type: ColumnType.json, optional: true }],
    rows: async from =>
      (await eventsByBatch(from)).map(({ json, atMs, recordedAtMs, withdrawnAtMs, ...row }) => ({
        ...row,
        at: atMs,
        recordedAt: recordedAtMs,
        withdrawnAt: withdrawnAtMs,
        details: json,
      })),
    async take(row) {
      const wanted = eventRowOf(row)
      const known = (await store.batchEvents(wanted.batchId)).find(each => each.id === wanted.id)
      const read = (event: BatchEventRow) => ({ ...event, json: JSON.parse(event.json) as unknown })
      if (sameOr(known && read(known), read(wanted), 'entry')) return Taken.same
      await room.adopt.event(wanted)
      return Taken.added
    },
  }
}

function eventRowOf(row: Row): BatchEventRow {
  const kind = String(row['kind'])
  const json = row['details'] === null ? '{}' : String(row['details'])
  const body = EventBody.safeParse({ kind, ...(JSON.parse(json) as object) })
  if (!body.success) {
    const { path, message } = body.error.issues[0] ?? { path: [], message: '' }
    throw new RowError(`Cannot take the entry: ${path.join('.') || 'its kind'} is wrong: ${message}`)
  }
  return {
    id: String(row['id']),
    batchId: String(row['batchId']),
    atMs: Number(row['at']),
    recordedAtMs: Number(row['recordedAt']),
    by: String(row['by']),
    kind,
    json,
    withdrawnAtMs: row['withdrawnAt'] as number | null,
  }
}
