import { z } from 'zod'
import type { Cohort, Feeding as Meal } from '../../plan/contract.ts'
import { feedingsOf } from '../../plan/feedings.ts'
import type { EntryRow } from '../../store/books-contract.ts'
import type { Store } from '../../store/contract.ts'
import { RoomError, RoomErrorKind, type Room } from '../contract.ts'
import { CLOCK_SLACK_MS } from '../moments.ts'
import { FedFrom, type Given, type GivenFeeding, type NewFeeding, type Pantry } from './contract.ts'
import { isDone, restOf } from './rest.ts'
import { checkParts, readyBack, readyParts, refuse, sumOf } from './feeding-parts.ts'

export const FEEDINGS = 'feeding'
const DAY_MS = 86_400_000
/** Meals so long past or so far ahead can still, or already, be ticked off. */
const TICKED_WITHIN_MS = 3 * DAY_MS
/** What nobody ticked off is shown for so long: to whoever ticks feedings off, and shorter to whoever never did. Own choices. */
const OPEN_MS = { ticking: DAY_MS, otherwise: 3 * 3_600_000 } as const
/** Whoever ticked one off within this time does so. */
const TICKING_MS = 7 * DAY_MS

export const KeptFeeding = z.object({
  mealId: z.string().nullable(),
  dueAtMs: z.number().nullable(),
  nauplii: z.number().nullable(),
  from: z.enum(FedFrom),
  fromId: z.string().nullable(),
  /** What it wrote where it was taken from: a draw, or an entry of the batch's log. */
  wrote: z.string().nullable(),
  /** Each source, where there are several; the first stands above too. */
  parts: z
    .array(
      z.object({
        from: z.enum(FedFrom),
        fromId: z.string().nullable(),
        nauplii: z.number().nullable(),
        wrote: z.string().nullable(),
      }),
    )
    .optional(),
  more: z.boolean().optional(),
})

export interface GivenParts {
  readonly store: Pick<Store, 'entries' | 'keepEntry'>
  readonly room: Pick<Room, 'readyEvent' | 'readyWithdrawal'>
  readonly clock: () => number
  readonly newId: () => string
  readonly pantry?: Pantry | null
  readonly cohorts: () => Promise<readonly Cohort[]>
  readonly zone: () => string
  readonly changed: () => void
}

/** Feedings that were given: an append-only log, each drawing on what it was taken from. */
export function createGiven(parts: GivenParts): Given {
  const { store, clock, newId } = parts
  const list = async (fromMs: number): Promise<GivenFeeding[]> =>
    (await store.entries(FEEDINGS)).filter(({ atMs }) => atMs >= fromMs).map(givenOf)

  const mealsBetween = async (fromMs: number, untilMs: number): Promise<Meal[]> =>
    feedingsOf(await parts.cohorts(), { fromMs, untilMs, zone: parts.zone() })

  // One after the other: two who tick the same feeding off in one moment must not both be heard.
  let last: Promise<unknown> = Promise.resolve()
  const inTurn = <T>(act: () => Promise<T>): Promise<T> => {
    const mine = last.then(act)
    last = mine.catch(() => undefined)
    return mine
  }

  return {
    list,
    give: feeding => inTurn(() => give(feeding)),
    withdraw: id => inTurn(() => withdraw(id)),

    async open() {
      const nowMs = clock()
      const given = (await list(nowMs - TICKING_MS)).filter(({ withdrawnAtMs }) => withdrawnAtMs === null)
      const first = Math.min(...given.map(({ atMs }) => atMs))
      const since = given.length > 0 ? Math.max(nowMs - OPEN_MS.ticking, first) : nowMs - OPEN_MS.otherwise
      const meals = await mealsBetween(Math.min(since, nowMs - OPEN_MS.otherwise), nowMs)
      return meals
        .filter(meal => meal.atMs < nowMs && !isDone(meal, given))
        .map(meal => ({ ...meal, nauplii: restOf(meal, given) }))
    },
  }

  async function give(feeding: NewFeeding): Promise<GivenFeeding> {
    const { cohortId, mealId = null, atMs, by, more = false } = feeding
    const wanted =
      'parts' in feeding
        ? feeding.parts
        : [{ from: feeding.from, fromId: feeding.fromId ?? null, nauplii: feeding.nauplii }]
    checkParts(wanted)
    const nowMs = clock()
    if (!(await parts.cohorts()).some(({ id }) => id === cohortId))
      throw refuse(RoomErrorKind.notFound, `no group of fry has the id ${cohortId}`, 'cohortId')
    if (atMs !== undefined && atMs > nowMs + CLOCK_SLACK_MS)
      throw refuse(RoomErrorKind.invalid, 'its time lies in the future', 'at')
    const meals = await mealsBetween(nowMs - TICKED_WITHIN_MS, nowMs + TICKED_WITHIN_MS)
    const meal = meals.find(({ id }) => id === mealId)
    if (mealId !== null && meal?.cohortId !== cohortId)
      throw refuse(RoomErrorKind.invalid, `these fry have no feeding ${mealId} within three days`, 'mealId')
    const before = (await list(nowMs - 2 * TICKED_WITHIN_MS)).find(
      each => each.withdrawnAtMs === null && mealId !== null && each.mealId === mealId && each.more !== true,
    )
    if (more && (mealId === null || sumOf(wanted) === null))
      throw refuse(
        RoomErrorKind.invalid,
        'a rest is left only of a feeding of the plan that was counted',
        'more',
      )
    if (before) throw refuse(RoomErrorKind.conflict, `it was given already, by ${before.by}`, 'mealId')
    const at = Math.min(atMs ?? nowMs, nowMs)
    const ready = await readyParts({ ...parts, several: 'parts' in feeding }, wanted, { atMs: at, by })
    const [first] = ready
    if (!first) throw refuse(RoomErrorKind.invalid, 'say what it was taken from', 'parts')
    const kept = ready.map(({ part, wrote }) => ({ ...part, wrote }))
    const said: z.infer<typeof KeptFeeding> = {
      mealId,
      dueAtMs: meal?.atMs ?? null,
      nauplii: sumOf(wanted),
      from: first.part.from,
      fromId: first.part.fromId,
      wrote: first.wrote,
      ...(kept.length > 1 ? { parts: kept } : {}),
      ...(more ? { more } : {}),
    }
    const row: EntryRow = {
      id: newId(),
      book: FEEDINGS,
      subject: cohortId,
      atMs: at,
      recordedAtMs: nowMs,
      by,
      json: JSON.stringify(said),
      withdrawnAtMs: null,
    }
    // All in one turn, so that they are kept together or not at all.
    await Promise.all([...ready.map(each => each.keep()), store.keepEntry(row)])
    parts.changed()
    return givenOf(row)
  }

  async function withdraw(id: string): Promise<GivenFeeding> {
    const row = (await store.entries(FEEDINGS)).find(each => each.id === id)
    if (!row)
      throw new RoomError(RoomErrorKind.notFound, `Cannot find feeding: there is none with the id ${id}`)
    if (row.withdrawnAtMs !== null) return givenOf(row)
    const ready = await readyBack(parts, givenOf(row).parts)
    const after = { ...row, withdrawnAtMs: clock() }
    // All in one turn, so that nothing is given back of a feeding that still stands.
    await Promise.all([...ready.map(each => each.keep()), store.keepEntry(after)])
    parts.changed()
    return givenOf(after)
  }
}

export function givenOf({
  id,
  subject,
  atMs,
  recordedAtMs,
  by,
  json,
  withdrawnAtMs,
}: EntryRow): GivenFeeding {
  const { wrote, parts, more, ...said } = KeptFeeding.parse(JSON.parse(json))
  const { from, fromId, nauplii } = said
  return {
    id,
    cohortId: subject,
    atMs,
    recordedAtMs,
    by,
    ...said,
    ...(more === true ? { more } : {}),
    parts: parts ?? [{ from, fromId, nauplii, wrote }],
    withdrawnAtMs,
  }
}
