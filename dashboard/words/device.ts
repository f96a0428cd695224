import type { Device } from '../../broker/web/api/devices.ts'
import type { Settings } from '../../broker/web/api/schemas.ts'
import { quietMs } from './condition.ts'
import { duration } from './time.ts'

/** How a device stands. A closed set; only `lost` is a matter of concern. */
export const DeviceState = {
  connected: 'connected',
  /** Heard lately without a standing connection: it connects, sends and leaves. */
  visiting: 'visiting',
  /** Not heard lately, and nothing waits for it. */
  away: 'away',
  /** A vessel is measured by it, and it was silent for longer than it may. */
  lost: 'lost',
  /** It may speak no more. */
  revoked: 'revoked',
} as const
export type DeviceState = (typeof DeviceState)[keyof typeof DeviceState]

/** How a device stands, and that in words: `connects only to send, heard 13 s ago`. */
export function deviceCondition(
  device: Device,
  settings: Settings,
  nowMs: number,
): { readonly state: DeviceState; readonly words: string } {
  if (device.revokedAt !== null) {
    const sinceMs = nowMs - Date.parse(device.revokedAt)
    return { state: 'revoked', words: `Revoked ${duration(sinceMs)} ago: it may not speak any more` }
  }
  const ageMs = device.lastHeardAt === null ? null : nowMs - Date.parse(device.lastHeardAt)
  const heard = ageMs === null ? 'never heard' : `heard ${duration(ageMs)} ago`
  const lately = ageMs !== null && ageMs <= quietMs(settings)
  const assigned = device.channels.some(({ assignedTo }) => assignedTo !== null)
  const connection = device.online ? 'On line' : 'Off line'
  if (assigned && !lately)
    return { state: 'lost', words: `${connection}${device.online ? ' but silent' : ''}, ${heard}` }
  if (device.online) return { state: 'connected', words: `On line, ${heard}` }
  if (lately) return { state: 'visiting', words: `Connects only to send, ${heard}` }
  return { state: 'away', words: `Off line, ${heard}` }
}
