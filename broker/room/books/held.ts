import { harvestLeft } from '../../hatch/counts/harvest-left.ts'
import { HowEarly, howEarly } from '../../hatch/development/earliest-hatch.ts'
import { heldState, meanAgeAtTaking, unknownAgeAtTaking, USUAL_COLD_C } from '../../hatch/holding/holding.ts'
import { naupliiAge } from '../../hatch/holding/nauplii-age.ts'
import type { EntryRow } from '../../store/books-contract.ts'
import type { BatchRow } from '../../store/contract.ts'
import { eventOf } from '../batch-log.ts'
import { harvestEntries } from '../harvest-left.ts'
import type { Draw, Held, HeldView, NewDraw, ReadyDraw, Takings } from './contract.ts'
import { conflict, invalid, notFound, saidMoment, type BookParts } from './parts.ts'

export const DRAWS = 'draw'
/** What was put away longer ago is in the batch's log alone. */
const LOOKED_BACK_MS = 14 * 86_400_000

/** What is in the refrigerator. A portion is an entry of its batch's log: taken back there, it is gone here. */
export function createHeld(parts: BookParts): Held {
  const { store, clock, newId } = parts
  return {
    async list({ gone = false } = {}) {
      const all = await portions()
      return gone ? all : all.filter(({ isGone }) => !isGone)
    },

    async draw(id, input) {
      const ready = await readyDraw(id, input)
      await ready.keep()
      return find(id)
    },

    readyDraw,

    async withdrawDraw(id, drawId) {
      const ready = await readyUndraw(id, drawId)
      await ready.keep()
      return find(id)
    },

    readyUndraw,
  }

  async function readyUndraw(id: string, drawId: string): Promise<ReadyDraw> {
    const row = (await store.entries(DRAWS)).find(each => each.id === drawId && each.subject === id)
    if (!row) throw notFound('draw', drawId)
    return {
      id: row.id,
      async keep() {
        if (row.withdrawnAtMs === null) await store.keepEntry({ ...row, withdrawnAtMs: clock() })
        parts.changed()
      },
    }
  }

  async function readyDraw(id: string, input: NewDraw): Promise<ReadyDraw> {
    const portion = await find(id)
    const nowMs = clock()
    const atMs = saidMoment('draw from it', input.atMs, nowMs)
    if (portion.isGone) throw conflict('Cannot draw from it: nothing is left of it')
    if (atMs < portion.takenAtMs) throw invalid('Cannot draw from it: it was not in the cold by then', 'at')
    const { left } = portion
    if (input.nauplii !== null && left !== null && input.nauplii > left)
      throw invalid(
        `Cannot draw from it: ${Math.round(left).toLocaleString('en-US')} nauplii are left; the rest can come from a second source`,
        'nauplii',
      )
    const row: EntryRow = {
      id: newId(),
      book: DRAWS,
      subject: id,
      atMs,
      recordedAtMs: nowMs,
      by: input.by,
      json: JSON.stringify({ for: input.for, nauplii: input.nauplii }),
      withdrawnAtMs: null,
    }
    return {
      id: row.id,
      async keep() {
        await store.keepEntry(row)
        parts.changed()
      },
    }
  }

  async function find(id: string): Promise<HeldView> {
    const portion = (await portions()).find(each => each.id === id)
    if (!portion) throw notFound('held nauplii', id)
    return portion
  }

  async function portions(): Promise<HeldView[]> {
    const nowMs = clock()
    const draws = await store.entries(DRAWS)
    const found: HeldView[] = []
    for (const row of await store.eventsOfKind('taken', nowMs - LOOKED_BACK_MS)) {
      if (row.withdrawnAtMs !== null) continue
      const batch = await store.batch(row.batchId)
      if (!batch) continue
      const taken = eventOf(row, batch) as Takings
      if (taken.for !== 'held') continue
      const nauplii = await countedSince(parts, taken, batch)
      const own = draws.filter(({ subject }) => subject === row.id).map(drawOf)
      found.push(viewOf({ ...taken, nauplii }, batch, own, nowMs))
    }
    return found
  }
}

/** As it was said; where the harvest was counted only afterwards, or anew, its share of that count. */
async function countedSince(
  { store }: Pick<BookParts, 'store'>,
  taken: Takings,
  batch: BatchRow,
): Promise<number | null> {
  if (taken.share === null) return taken.nauplii
  const log = (await store.batchEvents(batch.id)).map(row => eventOf(row, batch))
  const { counted } = harvestLeft(harvestEntries(log), taken.atMs)
  if (!counted?.counted || (taken.nauplii !== null && counted.recordedAtMs <= taken.recordedAtMs))
    return taken.nauplii
  return Math.round(taken.share * counted.counted.best)
}

function viewOf(
  taken: Takings,
  { vesselId, lot, startedAtMs }: BatchRow,
  draws: readonly Draw[],
  nowMs: number,
): HeldView {
  const coldC = taken.coldC ?? USUAL_COLD_C
  const standing = draws.filter(({ withdrawnAtMs }) => withdrawnAtMs === null)
  const drawnAll = standing.some(({ nauplii }) => nauplii === null)
  const drawn = standing.reduce((sum, { nauplii }) => sum + (nauplii ?? 0), 0)
  const left = drawnAll ? 0 : taken.nauplii === null ? null : Math.max(0, taken.nauplii - drawn)
  const energyAtTaking = taken.energyLeft ?? 1
  const state = heldState({ takenAtMs: taken.atMs, coldC, energyAtTaking }, nowMs)
  const meanAgeH = meanAgeAtTaking(startedAtMs, taken.firstOutAtMs, taken.atMs)
  const ageAtTakingH = meanAgeH ?? unknownAgeAtTaking(startedAtMs, taken.atMs)
  return {
    id: taken.id,
    batchId: taken.batchId,
    vesselId,
    lot,
    takenAtMs: taken.atMs,
    by: taken.by,
    coldC,
    nauplii: taken.nauplii,
    left,
    isGone: left === 0,
    isTooSoon: howEarly(taken.atMs - startedAtMs) === HowEarly.impossible,
    firstOutAtMs: taken.firstOutAtMs,
    meanAgeH,
    ageAtTakingH,
    age: naupliiAge(ageAtTakingH, state.heldH),
    energyAtTaking,
    state,
    draws,
  }
}

export function drawOf({ id, atMs, recordedAtMs, by, json, withdrawnAtMs }: EntryRow): Draw {
  const said = JSON.parse(json) as Pick<Draw, 'for' | 'nauplii'>
  return { id, atMs, recordedAtMs, by, for: said.for, nauplii: said.nauplii, withdrawnAtMs }
}
