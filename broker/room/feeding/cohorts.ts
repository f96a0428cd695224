import { z } from 'zod'
import type { Cohort } from '../../plan/contract.ts'
import type { RecordRow } from '../../store/books-contract.ts'
import type { Store } from '../../store/contract.ts'
import { RoomError, RoomErrorKind } from '../contract.ts'
import type { CohortFields } from './contract.ts'

export const COHORT = 'cohort'
/** So many cohorts are kept; further ones are refused. */
export const MOST_COHORTS = 50

const TimeOfDay = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/)
export const KeptCohort = z.object({
  name: z.string(),
  species: z.string(),
  fry: z.number(),
  bornMs: z.number(),
  ration: z.array(z.object({ fromDay: z.number(), naupliiPerFry: z.number() })),
  times: z.array(TimeOfDay),
  food: z.discriminatedUnion('kind', [
    z.object({ kind: z.literal('instar-1') }),
    z.object({ kind: z.literal('up-to'), hours: z.number() }),
  ]),
  endsMs: z.number().nullable(),
})

export interface CohortParts {
  readonly store: Pick<Store, 'records' | 'keepRecord' | 'dropRecord'>
  readonly clock: () => number
  readonly newId: () => string
}

export async function listCohorts({ store }: CohortParts): Promise<Cohort[]> {
  return (await store.records(COHORT)).flatMap(row => {
    const read = row.endedAtMs === null ? KeptCohort.safeParse(JSON.parse(row.json)) : null
    return read?.success ? [{ id: row.id, ...read.data, enteredMs: row.createdAtMs }] : []
  })
}

export async function keepCohort(
  { store, clock, newId }: CohortParts,
  id: string | null,
  fields: CohortFields,
): Promise<Cohort> {
  const rows = (await store.records(COHORT)).filter(({ endedAtMs }) => endedAtMs === null)
  const before = rows.find(row => row.id === id)
  if (id !== null && !before) throw notFound(id)
  if (!before && rows.length >= MOST_COHORTS) {
    const words = `Cannot add the fry: ${MOST_COHORTS} groups are kept already; remove one first`
    throw new RoomError(RoomErrorKind.conflict, words)
  }
  const nowMs = clock()
  const row: RecordRow = {
    kind: COHORT,
    id: before?.id ?? newId(),
    createdAtMs: before?.createdAtMs ?? nowMs,
    changedAtMs: nowMs,
    endedAtMs: null,
    json: JSON.stringify(fields),
  }
  await store.keepRecord(row)
  return { id: row.id, ...fields, enteredMs: row.createdAtMs }
}

/** It is put away, not deleted: nothing that was entered is lost. */
export async function dropCohort({ store, clock }: CohortParts, id: string): Promise<void> {
  const row = (await store.records(COHORT)).find(each => each.id === id && each.endedAtMs === null)
  if (!row) throw notFound(id)
  await store.keepRecord({ ...row, endedAtMs: clock() })
}

const notFound = (id: string): RoomError =>
  new RoomError(RoomErrorKind.notFound, `Cannot find the fry: no group has the id ${id}`)
