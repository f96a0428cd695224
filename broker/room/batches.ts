import { HarvestGoal } from '../hatch/contract.ts'
import type { BatchRow } from '../store/contract.ts'
import { checkSpan } from './batch-span.ts'
import { RoomError, RoomErrorKind, type BatchChange, type NewBatch } from './contract.ts'
import { rebuildDevelopment } from './development-rebuild.ts'
import { noteCorrection } from './correction.ts'
import { checkDose } from './dose.ts'
import { noteEnteredLate } from './entered-late.ts'
import { judgeEvent } from './judging.ts'
import { learnFromBatch } from './lot-learning.ts'
import { notAhead } from './moments.ts'
import { ROLES } from './roles.ts'
import type { RoomState } from './state.ts'
import type { VesselLive } from './vessel-live.ts'

/** Who corrected it, when nobody says so. */
const SOMEBODY = 'somebody at the screen'

/** Starts a batch, now or at a moment past. A vessel has one open batch at a time. */
export async function startBatch(state: RoomState, input: NewBatch): Promise<BatchRow> {
  const vessel = state.vessel(input.vesselId)
  if (vessel.batch) throw hasOne(vessel.row.name)
  const nowMs = state.parts.clock()
  checkDose('start a batch', input)
  const wanted = input.startedAtMs ?? nowMs
  await checkSpan(
    state,
    { vesselId: input.vesselId, startedAtMs: wanted, endedAtMs: null },
    'start a batch',
    nowMs,
  )
  const startedAtMs = Math.min(wanted, nowMs)
  if (vessel.batch) throw hasOne(vessel.row.name)
  const batch: BatchRow = {
    id: state.parts.newId(),
    vesselId: input.vesselId,
    startedAtMs,
    endedAtMs: null,
    litres: input.litres,
    cystsG: input.cystsG,
    salinityGpl: input.salinityGpl,
    lot: lotName(input.lot),
    goal: input.goal ?? HarvestGoal.balanced,
    note: input.note ?? null,
  }
  // Set before the first wait, so that a second tap in the same moment is refused.
  vessel.batch = batch
  try {
    await state.parts.store.keepBatch(batch)
    await noteEnteredLate(state.parts.store, batch, nowMs)
  } catch (error) {
    vessel.batch = null
    throw error
  }
  await rebuildDevelopment(state, vessel)
  state.tell({ kind: 'vessel', vessel: vessel.view() })
  return batch
}

function hasOne(name: string): RoomError {
  const words = `Cannot start a batch: ${name} has one already; end that first`
  return new RoomError(RoomErrorKind.conflict, words, 'vesselId')
}

/** Ends an open batch; its alarms that make sense only with a batch return to normal. */
export async function endBatch(
  state: RoomState,
  id: string,
  input: { endedAtMs?: number; note?: string },
): Promise<BatchRow> {
  const { store, clock } = state.parts
  const batch = await findBatch(state, id)
  if (batch.endedAtMs !== null)
    throw new RoomError(RoomErrorKind.conflict, 'Cannot end the batch: it has ended already')
  const nowMs = clock()
  const endedAtMs = Math.min(input.endedAtMs ?? nowMs, nowMs)
  if (endedAtMs < batch.startedAtMs) {
    throw new RoomError(
      RoomErrorKind.invalid,
      'Cannot end the batch: its end lies before its start',
      'endedAt',
    )
  }
  notAhead('end the batch', 'end', input.endedAtMs ?? nowMs, nowMs)
  const ended: BatchRow = { ...batch, endedAtMs, note: input.note ?? batch.note }
  await store.keepBatch(ended)
  const vessel = state.vessels.get(batch.vesselId)
  if (vessel?.batch?.id === id) {
    state.reminding.noteEnded(ended)
    empty(state, vessel, nowMs)
    state.tell({ kind: 'vessel', vessel: vessel.view() })
    const devices = new Set(ROLES.flatMap(role => vessel.channels[role]?.device ?? []))
    for (const device of devices)
      state.inBackground('packing the batch’s readings', store.seal(device), { doneAnew: true })
  }
  await learnFromBatch(state, ended)
  return ended
}

export async function findBatch(state: RoomState, id: string): Promise<BatchRow> {
  const batch = await state.parts.store.batch(id)
  if (!batch) throw new RoomError(RoomErrorKind.notFound, `Cannot find batch: no batch has the id ${id}`)
  return batch
}

/** Corrects what was written down of a batch, open or ended. An open one is ended by ending it, not by this. */
export async function changeBatch(
  state: RoomState,
  id: string,
  { by = SOMEBODY, ...change }: BatchChange,
): Promise<BatchRow> {
  const batch = await findBatch(state, id)
  const nowMs = state.parts.clock()
  if (change.endedAtMs !== undefined && batch.endedAtMs === null) {
    const words = 'Cannot change the batch: it is open; end it instead'
    throw new RoomError(RoomErrorKind.conflict, words, 'endedAt')
  }
  const changed: BatchRow = {
    ...batch,
    ...change,
    lot: change.lot === undefined ? batch.lot : lotName(change.lot),
  }
  checkDose('change the batch', changed)
  if (change.startedAtMs !== undefined || change.endedAtMs !== undefined) {
    await checkSpan(state, changed, 'change the batch', nowMs)
  }
  // In one turn, so that the batch never changes without its log saying so.
  const noted = noteCorrection(state, batch, changed, by, nowMs)
  await state.parts.store.keepBatch(changed)
  await noted
  const vessel = state.vessels.get(batch.vesselId)
  const isOpen = vessel?.batch?.id === id
  if (isOpen) vessel.batch = changed
  if (batch.lot !== null && batch.lot !== changed.lot) state.lots.forget(batch.lot)
  if (isOpen) await rebuildDevelopment(state, vessel)
  await learnFromBatch(state, changed)
  if (vessel) state.tell({ kind: 'vessel', vessel: vessel.view() })
  return changed
}

/** The batch was started by mistake: it is gone from every list and teaches nothing. Its readings stay the vessel's. */
export async function discardBatch(state: RoomState, id: string): Promise<void> {
  const batch = await findBatch(state, id)
  const nowMs = state.parts.clock()
  await state.parts.store.discardBatch(id, nowMs)
  if (batch.lot !== null) state.lots.forget(batch.lot)
  const vessel = state.vessels.get(batch.vesselId)
  if (!vessel) return
  if (vessel.batch?.id === id) empty(state, vessel, nowMs)
  state.tell({ kind: 'vessel', vessel: vessel.view() })
}

/** The vessel has no batch from now on; its alarms that make sense only with one return to normal. */
export function empty(state: RoomState, vessel: VesselLive, nowMs: number): void {
  vessel.batch = null
  vessel.development = null
  vessel.forecast = null
  judgeEvent(state, vessel, { kind: 'tick', atMs: nowMs })
}

/** A lot without a name is none. */
function lotName(name: string | null | undefined): string | null {
  return name === undefined || name === null || name === '' ? null : name
}
