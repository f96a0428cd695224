import type { DeviceRow } from '../store/contract.ts'
import { DeviceLive } from './device-live.ts'
import type { RoomState } from './state.ts'

/**
 * Brings the room's devices in line with the store's: the command line adds and revokes devices while the service runs. A
 * revoked one stays, as such, until it is removed. Devices of an external broker stand in no list; they come by speaking and stay.
 */
export async function followDeviceList(state: RoomState): Promise<void> {
  for (const row of await state.parts.store.devices()) {
    const { name } = row
    const known = state.devices.get(name)
    if (row.removedAtMs !== undefined) {
      if (state.devices.delete(name)) state.tell({ kind: 'device-removed', device: name })
    } else if (!known) {
      state.devices.set(name, new DeviceLive(row))
    } else if (!sameRow(known.row, row)) {
      // What is told to a device that may speak no more is taken back at once.
      const ends = row.revokedAtMs !== null && known.row.revokedAtMs === null
      known.row = row
      known.changed = true
      if (ends) {
        known.online = false
        state.tell({ kind: 'device', device: state.deviceView(known) })
      }
    }
  }
}

const sameRow = (one: DeviceRow, other: DeviceRow): boolean =>
  one.createdAtMs === other.createdAtMs &&
  one.revokedAtMs === other.revokedAtMs &&
  one.offeredUntilMs === other.offeredUntilMs
