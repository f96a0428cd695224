import type { EntryRow, RecordRow } from '../../store/books-contract.ts'
import { RowError, Taken, type Column, type Row, type Table } from '../books/tables/contract.ts'
import { sameSaid } from '../books/tables/differs.ts'
import type { Store } from '../../store/contract.ts'
import { COHORT, KeptCohort } from './cohorts.ts'
import { FEEDINGS, KeptFeeding } from './given.ts'

const STILL_TO_GIVE = 'still to give'

type Keeps = Pick<Store, 'records' | 'keepRecord' | 'entries' | 'keepEntry'>

const time = (key: string, optional = false): Column => ({ key, type: 'time', unit: 'UTC', optional })
const text = (key: string, optional = false): Column => ({ key, type: 'text', optional })

/** The tables of the feeding plan, in their order: who is fed, and what was given. */
export const feedingTables = (store: Keeps): readonly Table[] => [cohortTable(store), givenTable(store)]

/** Groups of fry, those that are fed no more among them. */
function cohortTable(store: Keeps): Table {
  return {
    name: 'cohorts',
    about: 'groups of fry, those fed no more among them',
    columns: [
      text('id'),
      text('name'),
      text('species', true),
      { key: 'fry', type: 'whole', unit: 'fry', limits: { from: 1, to: 1_000_000 } },
      time('born'),
      { key: 'ration', type: 'json', unit: 'nauplii a fry a day, from a day on' },
      { key: 'times', type: 'json', unit: 'time of day' },
      { key: 'foodUpTo', type: 'number', unit: 'h', limits: { from: 1, to: 96 }, optional: true },
      time('ends', true),
      time('createdAt'),
      time('putAwayAt', true),
    ],
    rows: async from =>
      (await from.records(COHORT)).flatMap(({ id, createdAtMs, endedAtMs, json }) => {
        const read = KeptCohort.safeParse(JSON.parse(json))
        if (!read.success) return []
        const { bornMs, endsMs, ration, times, food, ...said } = read.data
        return [
          {
            id,
            ...said,
            born: bornMs,
            ration: JSON.stringify(ration),
            times: JSON.stringify(times),
            // Without a number they take the smallest alone: before the first moult.
            foodUpTo: food.kind === 'up-to' ? food.hours : null,
            ends: endsMs,
            createdAt: createdAtMs,
            putAwayAt: endedAtMs,
          },
        ]
      }),
    async take(row) {
      const upTo = row['foodUpTo']
      const read = KeptCohort.safeParse({
        name: row['name'],
        species: row['species'] ?? '',
        fry: row['fry'],
        bornMs: row['born'],
        ration: jsonOf(row, 'ration'),
        times: jsonOf(row, 'times'),
        food: typeof upTo === 'number' ? { kind: 'up-to', hours: upTo } : { kind: 'instar-1' },
        endsMs: row['ends'] ?? null,
      })
      if (!read.success) throw new RowError(`Cannot take the fry: ${firstIssue(read.error)}`)
      const wanted: RecordRow = {
        kind: COHORT,
        id: String(row['id']),
        createdAtMs: Number(row['createdAt']),
        changedAtMs: Number(row['createdAt']),
        endedAtMs: (row['putAwayAt'] as number | null) ?? null,
        json: JSON.stringify(read.data),
      }
      const known = (await store.records(COHORT)).find(({ id }) => id === wanted.id)
      const said = (of: RecordRow) => ({
        ...KeptCohort.safeParse(JSON.parse(of.json)).data,
        createdAtMs: of.createdAtMs,
        putAwayAt: of.endedAtMs,
      })
      if (known && sameSaid(said(known), said(wanted), `fry ${read.data.name}`)) return Taken.same
      await store.keepRecord(wanted)
      return Taken.added
    },
  }
}

/** What was fed, ticked off; those taken back among them. What it drew is in the tables of draws and of the batches' logs. */
function givenTable(store: Keeps): Table {
  return {
    name: 'feedings',
    about: 'feedings that were given, those taken back among them',
    columns: [
      text('id'),
      text('cohortId'),
      text('mealId', true),
      time('due', true),
      time('at'),
      time('recordedAt'),
      text('by'),
      { key: 'nauplii', type: 'number', unit: 'nauplii', limits: { from: 0, to: 1e9 }, optional: true },
      text('from'),
      text('fromId', true),
      text('wrote', true),
      { key: 'parts', type: 'json', unit: 'nauplii from each', optional: true },
      text('rest', true),
      time('withdrawnAt', true),
    ],
    rows: async from =>
      (await from.entries(FEEDINGS)).flatMap(
        ({ id, subject, atMs, recordedAtMs, by, json, withdrawnAtMs }) => {
          const read = KeptFeeding.safeParse(JSON.parse(json))
          if (!read.success) return []
          const { dueAtMs, parts, more = false, ...said } = read.data
          return [
            {
              id,
              cohortId: subject,
              ...said,
              // Where it came from several sources: each with what it drew there.
              parts: parts === undefined ? null : JSON.stringify(parts),
              // Fewer than are due, and the rest was still to be given.
              rest: more ? STILL_TO_GIVE : null,
              due: dueAtMs,
              at: atMs,
              recordedAt: recordedAtMs,
              by,
              withdrawnAt: withdrawnAtMs,
            },
          ]
        },
      ),
    async take(row) {
      const cohortId = String(row['cohortId'])
      if (!(await store.records(COHORT)).some(({ id }) => id === cohortId))
        throw new RowError('Cannot take the feeding: its fry are not here; bring the cohorts in first')
      const read = KeptFeeding.safeParse({
        mealId: row['mealId'] ?? null,
        dueAtMs: row['due'] ?? null,
        nauplii: row['nauplii'] ?? null,
        from: row['from'],
        fromId: row['fromId'] ?? null,
        wrote: row['wrote'] ?? null,
        parts: jsonOf(row, 'parts') ?? undefined,
        ...(row['rest'] === STILL_TO_GIVE ? { more: true } : {}),
      })
      if (!read.success) throw new RowError(`Cannot take the feeding: ${firstIssue(read.error)}`)
      const wanted: EntryRow = {
        id: String(row['id']),
        book: FEEDINGS,
        subject: cohortId,
        atMs: Number(row['at']),
        recordedAtMs: Number(row['recordedAt']),
        by: String(row['by']),
        json: JSON.stringify(read.data),
        withdrawnAtMs: (row['withdrawnAt'] as number | null) ?? null,
      }
      const known = (await store.entries(FEEDINGS)).find(({ id }) => id === wanted.id)
      const said = ({ subject, atMs, json, withdrawnAtMs }: EntryRow) => ({
        ...KeptFeeding.safeParse(JSON.parse(json)).data,
        subject,
        atMs,
        withdrawnAtMs,
      })
      if (known && sameSaid(said(known), said(wanted), 'feeding')) return Taken.same
      await store.keepEntry(wanted)
      return Taken.added
    },
  }
}

const jsonOf = (row: Row, key: string): unknown => JSON.parse(String(row[key] ?? 'null')) as unknown

const firstIssue = ({ issues: [first] }: { issues: { path: PropertyKey[]; message: string }[] }): string =>
  first ? `${first.path.join('.')}: ${first.message}` : 'it is not readable'
