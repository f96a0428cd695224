import type { Alarm } from '../rules/alarm.ts'
import { learnFromBatch } from './lot-learning.ts'
import type { AssignmentRow, BatchEventRow, BatchRow, VesselRow } from '../store/contract.ts'
import { checkSpan } from './batch-span.ts'
import { eventOf } from './batch-log.ts'
import { RoomError, RoomErrorKind } from './contract.ts'
import { rebuildDevelopment } from './development-rebuild.ts'
import { checkDose } from './dose.ts'
import { noteEnteredLate } from './entered-late.ts'
import type { RoomState } from './state.ts'
import { VesselLive } from './vessel-live.ts'

/** Takes what another house, or this one before, wrote out: with its ids, and as if it had been written down here. */
export interface Adopting {
  vessel(row: VesselRow): Promise<void>
  batch(row: BatchRow): Promise<void>
  event(row: BatchEventRow): Promise<void>
  /** A batch that has ended, with all that belongs to it, in a vessel that is not in the room: what it showed is learned once. */
  ended(of: EndedBatch): Promise<void>
}

export interface EndedBatch {
  readonly vessel: VesselRow
  readonly batch: BatchRow
  /** Closed ones. One that is here already is stretched to hold both spans. */
  readonly assignments: readonly AssignmentRow[]
  readonly events: readonly BatchEventRow[]
  readonly alarms: readonly Alarm[]
  /** Keeps the rest, which nobody sees without the batch. Should it fail, the batch is not taken. */
  readonly keepRest: () => Promise<void>
}

export function adopting(state: RoomState): Adopting {
  const { store, clock } = state.parts
  /** One after the other: what the first kept is not kept twice. */
  let turn: Promise<void> = Promise.resolve()
  return {
    async vessel(row) {
      if (row.retiredAtMs === null && [...state.vessels.values()].some(each => each.row.name === row.name))
        throw conflict(`Cannot take the vessel: another is called ${row.name}`)
      await store.keepVessel(row)
      if (row.retiredAtMs !== null) return
      const vessel = new VesselLive(row)
      state.vessels.set(row.id, vessel)
      state.tell({ kind: 'vessel', vessel: vessel.view() })
    },

    async batch(row) {
      const nowMs = clock()
      checkDose('take the batch', row)
      const vessel = state.vessels.get(row.vesselId)
      if (row.endedAtMs === null && !vessel)
        throw conflict('Cannot take the batch: it is open, and its vessel is not in the room')
      // A batch of long ago is welcome; one that was in the vessel while another was is not.
      await checkSpan(state, row, 'take the batch', nowMs, Infinity)
      await store.keepBatch(row)
      await noteEnteredLate(store, row, nowMs)
      if (row.lot !== null) state.lots.forget(row.lot)
      if (row.endedAtMs !== null || !vessel) return
      vessel.batch = row
      await rebuildDevelopment(state, vessel)
      state.tell({ kind: 'vessel', vessel: vessel.view() })
    },

    async event(row) {
      const batch = await store.batch(row.batchId)
      if (!batch) throw conflict(`Cannot take the entry: no batch has the id ${row.batchId}`)
      await store.keepBatchEvent(row)
      state.tell({ kind: 'batch-event', vesselId: batch.vesselId, event: eventOf(row, batch) })
      await learnFromBatch(state, batch)
    },

    async ended(of) {
      const mine = turn.then(() => takeEnded(state, of))
      turn = mine.catch(() => undefined)
      return mine
    },
  }
}

async function takeEnded(
  state: RoomState,
  { vessel, batch, assignments, events, alarms, keepRest }: EndedBatch,
): Promise<void> {
  const { store, clock } = state.parts
  checkDose('take the batch', batch)
  const check = async () => {
    if (await store.batch(batch.id)) throw conflict('Cannot take the batch: it is here already')
    await checkSpan(state, batch, 'take the batch', clock(), Infinity)
    if (state.vessels.has(vessel.id))
      throw conflict('Cannot take the batch: its vessel stands in the room; it can be looked at beside it')
  }
  await check()
  await keepRest()
  // That may have taken a minute.
  await check()
  const known = new Map((await store.assignments()).map(row => [row.id, row]))
  const rows = assignments.map(row => stretched(row, known.get(row.id)))
  // In one turn, so that they are kept together or not at all.
  await Promise.all([
    store.keepVessel(vessel),
    store.keepBatch(batch),
    ...rows.map(row => store.keepAssignment(row)),
    ...events.map(row => store.keepBatchEvent(row)),
    ...alarms.map(alarm => store.keepAlarm(alarm)),
  ])
  for (const row of rows) state.routes.put(row)
  if (batch.lot !== null) state.lots.forget(batch.lot)
  await learnFromBatch(state, batch)
}

function stretched(row: AssignmentRow, known: AssignmentRow | undefined): AssignmentRow {
  if (!known || known.vesselId !== row.vesselId) return row
  const toMs = known.toMs === null || row.toMs === null ? null : Math.max(known.toMs, row.toMs)
  return { ...row, fromMs: Math.min(known.fromMs, row.fromMs), toMs }
}

const conflict = (message: string) => new RoomError(RoomErrorKind.conflict, message)
