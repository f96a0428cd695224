import { z } from 'zod'
import {
  cleaningDue,
  USUAL_CLEANING,
  type CleaningHow,
  type CleaningPolicy,
} from '../../hatch/care/cleaning.ts'
import type { EntryRow } from '../../store/books-contract.ts'
import { CLOCK_SLACK_MS } from '../moments.ts'
import type { Cleaning, CleaningEntry, CleaningView, Lots } from './contract.ts'
import { conflict, notFound, saidMoment, type BookParts } from './parts.ts'

export const CLEANINGS = 'cleaning'
const POLICY_KEY = 'cleaning-policy'
/** What is due is reckoned from so many newest batches of a vessel, and so much of the log is shown. */
const LOOKED_BACK = 50

export const Policy = z.object({
  everyBatches: z.int().min(1).max(100),
  everyDays: z.int().min(1).max(365),
})

/** What was cleaned, and what is due. */
export function createCleaning(parts: BookParts, lots: Lots): Cleaning {
  const { store, room, clock, newId } = parts
  const policy = async (): Promise<CleaningPolicy> => {
    const json = await store.document(POLICY_KEY)
    return (json === undefined ? undefined : Policy.safeParse(JSON.parse(json)).data) ?? USUAL_CLEANING
  }

  return {
    policy,

    async changePolicy(wanted) {
      await store.keepDocument(POLICY_KEY, JSON.stringify(wanted))
      parts.changed()
      return wanted
    },

    async list() {
      const log = (await store.entries(CLEANINGS)).map(cleaningOf)
      const declining = new Set<string>()
      for (const { name, learned } of await lots.list())
        if (learned && ['declining', 'gone-bad'].includes(learned.summary.verdict)) declining.add(name)
      const views: CleaningView[] = []
      for (const { row, batch } of room.snapshot().vessels)
        views.push(await viewOf(row.id, batch === null, log, declining))
      return views
    },

    async clean(vesselId, { how, atMs, by, words }) {
      const nowMs = clock()
      const doneAtMs = saidMoment('write the cleaning down', atMs, nowMs)
      await refuseWhileInUse(vesselId, doneAtMs, atMs === undefined ? null : 'at')
      const row: EntryRow = {
        id: newId(),
        book: CLEANINGS,
        subject: vesselId,
        atMs: doneAtMs,
        recordedAtMs: nowMs,
        by,
        json: JSON.stringify({ how, words: words ?? null }),
        withdrawnAtMs: null,
      }
      await store.keepEntry(row)
      parts.changed()
      return cleaningOf(row)
    },

    async withdraw(id) {
      const row = (await store.entries(CLEANINGS)).find(each => each.id === id)
      if (!row) throw notFound('cleaning', id)
      const withdrawn = { ...row, withdrawnAtMs: row.withdrawnAtMs ?? clock() }
      await store.keepEntry(withdrawn)
      parts.changed()
      return cleaningOf(withdrawn)
    },
  }

  /** A vessel is cleaned between its batches: with one in it, its end or its start is what is written down wrongly. */
  async function refuseWhileInUse(vesselId: string, doneAtMs: number, field: string | null): Promise<void> {
    const { row } = room.vessel(vesselId)
    const inIt = (await room.batches({ vesselId, limit: LOOKED_BACK })).find(
      ({ startedAtMs, endedAtMs }) =>
        startedAtMs < doneAtMs && (endedAtMs === null || doneAtMs < endedAtMs - CLOCK_SLACK_MS),
    )
    if (!inIt) return
    const told = (timeMs: number) => new Date(timeMs).toISOString()
    const rule =
      inIt.endedAtMs === null
        ? `a batch is in ${row.name} since ${told(inIt.startedAtMs)}; end it first`
        : `a batch was in ${row.name} until ${told(inIt.endedAtMs)}; correct its end first, or this time`
    throw conflict(`Cannot write the cleaning down: ${rule}, got ${told(doneAtMs)}`, field)
  }

  async function viewOf(
    vesselId: string,
    isEmpty: boolean,
    log: readonly CleaningEntry[],
    declining: ReadonlySet<string>,
  ): Promise<CleaningView> {
    const own = log.filter(entry => entry.vesselId === vesselId)
    const batches = await room.batches({ vesselId, limit: LOOKED_BACK })
    const ended = batches.filter(({ endedAtMs }) => endedAtMs !== null)
    const lastLot = ended[0]?.lot ?? null
    const due = cleaningDue(
      own.filter(({ withdrawnAtMs }) => withdrawnAtMs === null),
      ended.map(({ endedAtMs }) => endedAtMs ?? 0),
      lastLot !== null && declining.has(lastLot) ? lastLot : null,
      await policy(),
      clock(),
    )
    return { vesselId, isEmpty, ...due, log: own.slice(-LOOKED_BACK).reverse() }
  }
}

export function cleaningOf({
  id,
  subject,
  atMs,
  recordedAtMs,
  by,
  json,
  withdrawnAtMs,
}: EntryRow): CleaningEntry {
  const { how, words } = JSON.parse(json) as { how: CleaningHow; words: string | null }
  return { id, vesselId: subject, atMs, recordedAtMs, by, how, words, withdrawnAtMs }
}
