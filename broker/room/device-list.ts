import { DeviceLive } from './device-live.ts'
import type { RoomState } from './state.ts'

/**
 * Brings the room's devices in line with the store's: the command line adds and revokes devices while the service runs.
 * Devices of an external broker stand in no list; they come by speaking and stay.
 */
export async function followDeviceList(state: RoomState): Promise<void> {
  const rows = await state.parts.store.devices()
  const allowed = new Map(rows.flatMap(row => (row.revokedAtMs === null ? [[row.name, row] as const] : [])))
  for (const row of allowed.values()) {
    const known = state.devices.get(row.name)
    if (!known) state.devices.set(row.name, new DeviceLive(row))
    else if (known.row.createdAtMs !== row.createdAtMs) {
      known.row = row
      known.changed = true
    }
  }
  for (const { name } of rows) {
    if (allowed.has(name) || !state.devices.delete(name)) continue
    state.tell({ kind: 'device-removed', device: name })
  }
}
