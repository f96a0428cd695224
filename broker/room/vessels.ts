import type { VesselRow } from '../store/contract.ts'
import { type VesselView } from './views.ts'
import { RoomError, RoomErrorKind } from './contract.ts'
import { assignChannels } from './assigning.ts'
import { eachRole } from './roles.ts'
import { closedAlarm, type RoomState } from './state.ts'
import { VesselLive } from './vessel-live.ts'

/** How many vessels a room holds: far more than the few dozen that the job knows, few enough to tell everybody of all. */
const MOST_VESSELS = 1000

export async function createVessel(
  state: RoomState,
  input: { name: string; litres: number },
): Promise<VesselView> {
  if (state.vessels.size >= MOST_VESSELS) {
    throw new RoomError(RoomErrorKind.conflict, `Cannot add a vessel: the room holds ${MOST_VESSELS} already`)
  }
  refuseTakenName(state, input.name, null)
  const row: VesselRow = {
    id: state.parts.newId(),
    ...input,
    createdAtMs: state.parts.clock(),
    retiredAtMs: null,
  }
  const vessel = new VesselLive(row)
  state.vessels.set(row.id, vessel)
  try {
    await state.parts.store.keepVessel(row)
  } catch (error) {
    state.vessels.delete(row.id)
    throw error
  }
  state.tell({ kind: 'vessel', vessel: vessel.view() })
  return vessel.view()
}

export async function changeVessel(
  state: RoomState,
  id: string,
  change: { name?: string; litres?: number },
): Promise<VesselView> {
  const vessel = state.vessel(id)
  if (change.name !== undefined) refuseTakenName(state, change.name, id)
  const row: VesselRow = { ...vessel.row, ...change }
  await state.parts.store.keepVessel(row)
  vessel.row = row
  state.tell({ kind: 'vessel', vessel: vessel.view() })
  return vessel.view()
}

/** Takes a vessel out of the room and frees its channels; its history stays in the store. */
export async function retireVessel(state: RoomState, id: string): Promise<void> {
  const vessel = state.vessel(id)
  if (vessel.batch) {
    throw new RoomError(RoomErrorKind.conflict, `Cannot remove ${vessel.row.name}: end its batch first`)
  }
  await assignChannels(state, id, {
    channels: eachRole(() => null),
    offsets: {},
  })
  await state.parts.store.keepVessel({ ...vessel.row, retiredAtMs: state.parts.clock() })
  state.vessels.delete(id)
  for (const alarm of [...state.standing.values()])
    if (alarm.vesselId === id) await closeAlarm(state, alarm.id)
  state.tell({ kind: 'vessel-removed', vesselId: id })
}

/** A vessel that is gone can no longer alarm anybody. */
async function closeAlarm(state: RoomState, id: string): Promise<void> {
  const alarm = state.standing.get(id)
  if (!alarm) return
  const closed = closedAlarm(alarm, state.parts.clock())
  state.setAlarm(closed, false)
  await state.parts.store.keepAlarm(closed)
}

function refuseTakenName(state: RoomState, name: string, exceptId: string | null): void {
  const wanted = name.toLocaleLowerCase('en')
  for (const { row } of state.vessels.values()) {
    if (row.id !== exceptId && row.name.toLocaleLowerCase('en') === wanted) {
      throw new RoomError(
        RoomErrorKind.conflict,
        `Cannot use the name ${name}: another vessel has it`,
        'name',
      )
    }
  }
}
