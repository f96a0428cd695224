import { HarvestGoal } from '../hatch/contract.ts'
import type { BatchRow } from '../store/contract.ts'
import { RoomError, RoomErrorKind, type BatchChange, type NewBatch } from './contract.ts'
import { rebuildDevelopment } from './development-rebuild.ts'
import { judgeEvent } from './judging.ts'
import { learnFromBatch } from './lot-learning.ts'
import { notAhead } from './moments.ts'
import { ROLES } from './roles.ts'
import type { RoomState } from './state.ts'

/** A batch may be written down this long after it was started. */
const LONGEST_AGO_MS = 30 * 86_400_000

/** Starts a batch, now or at a moment past. A vessel has one open batch at a time. */
export async function startBatch(state: RoomState, input: NewBatch): Promise<BatchRow> {
  const vessel = state.vessel(input.vesselId)
  if (vessel.batch) throw hasOne(vessel.row.name)
  const nowMs = state.parts.clock()
  const startedAtMs = Math.min(input.startedAtMs ?? nowMs, nowMs)
  notAhead('start a batch', 'start', input.startedAtMs ?? nowMs, nowMs)
  if (startedAtMs < nowMs - LONGEST_AGO_MS) {
    throw new RoomError(
      RoomErrorKind.invalid,
      'Cannot start a batch: its start is over 30 days ago',
      'startedAt',
    )
  }
  const [last] = await state.parts.store.batches({ vesselId: input.vesselId, limit: 1 })
  if (last?.endedAtMs && startedAtMs < last.endedAtMs) {
    throw new RoomError(
      RoomErrorKind.invalid,
      `Cannot start a batch: its start lies before the end of the last batch in ${vessel.row.name}`,
      'startedAt',
    )
  }
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
    vessel.batch = null
    vessel.development = null
    vessel.forecast = null
    state.reminding.noteEnded(ended)
    judgeEvent(state, vessel, { kind: 'tick', atMs: nowMs })
    state.tell({ kind: 'vessel', vessel: vessel.view() })
    const devices = new Set(ROLES.flatMap(role => vessel.channels[role]?.device ?? []))
    for (const device of devices) state.inBackground('packing the batch’s readings', store.seal(device))
  }
  await learnFromBatch(state, ended)
  return ended
}

export async function findBatch(state: RoomState, id: string): Promise<BatchRow> {
  const batch = await state.parts.store.batch(id)
  if (!batch) throw new RoomError(RoomErrorKind.notFound, `Cannot find batch: no batch has the id ${id}`)
  return batch
}

/** Corrects what was written down of a batch, open or ended. */
export async function changeBatch(state: RoomState, id: string, change: BatchChange): Promise<BatchRow> {
  const batch = await findBatch(state, id)
  const lot = change.lot === undefined ? batch.lot : lotName(change.lot)
  const changed: BatchRow = { ...batch, ...change, lot }
  await state.parts.store.keepBatch(changed)
  const vessel = state.vessels.get(batch.vesselId)
  const isOpen = vessel?.batch?.id === id
  if (isOpen) vessel.batch = changed
  if (batch.lot !== null && batch.lot !== lot) state.lots.forget(batch.lot)
  if (isOpen) await rebuildDevelopment(state, vessel)
  await learnFromBatch(state, changed)
  if (isOpen) state.tell({ kind: 'vessel', vessel: vessel.view() })
  return changed
}

/** A lot without a name is none. */
function lotName(name: string | null | undefined): string | null {
  return name === undefined || name === null || name === '' ? null : name
}
