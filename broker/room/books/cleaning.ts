import { z } from 'zod'
import {
  cleaningDue,
  USUAL_CLEANING,
  type CleaningHow,
  type CleaningPolicy,
} from '../../hatch/care/cleaning.ts'
import type { EntryRow } from '../../store/books-contract.ts'
import type { Cleaning, CleaningEntry, CleaningView, Lots } from './contract.ts'
import { notFound, saidMoment, type BookParts } from './parts.ts'

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
      room.vessel(vesselId)
      const nowMs = clock()
      const row: EntryRow = {
        id: newId(),
        book: CLEANINGS,
        subject: vesselId,
        atMs: saidMoment('write the cleaning down', atMs, nowMs),
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
