import type { DeviceRow } from '../store/contract.ts'
import { DeviceLive } from './device-live.ts'
import type { RoomState } from './state.ts'

/**
 * Brings the room's devices in line with the store's: the command line adds and revokes devices while the service runs. A
 * revoked one stays, as such, until it is removed. Devices of an external broker stand in no list; they come by speaking and stay.
 */
export async function followDeviceList(state: RoomState): Promise<void> {
  const asked = (state.listAsked += 1)
  const rows = await state.parts.store.devices()
  // An answer that was overtaken would bring back what is no longer so.
  if (asked < state.listTaken) return
  state.listTaken = asked
  for (const row of rows) {
    const { name } = row
    const known = state.devices.get(name)
    if (row.removedAtMs !== undefined) {
      if (state.devices.delete(name)) state.tell({ kind: 'device-removed', device: name })
    } else if (!known) {
      state.devices.set(name, new DeviceLive(row))
    } else if (!sameRow(known.row, row)) {
      // What is told to a device that may speak no more is taken back at once.
      if (row.revokedAtMs !== null) known.online = false
      known.row = row
      tellOf(state, known)
    }
  }
}

/** A code was redeemed for a device. Whoever waits beside it is told at once. */
export async function notePairing(state: RoomState, name: string, atMs: number): Promise<void> {
  await followDeviceList(state)
  const device = state.devices.get(name)
  if (!device) return
  device.pairedAtMs = atMs
  tellOf(state, device)
}

function tellOf(state: RoomState, device: DeviceLive): void {
  device.changed = false
  state.tell({ kind: 'device', device: state.deviceView(device) })
}

const sameRow = (one: DeviceRow, other: DeviceRow): boolean =>
  one.createdAtMs === other.createdAtMs &&
  one.revokedAtMs === other.revokedAtMs &&
  one.offeredUntilMs === other.offeredUntilMs
