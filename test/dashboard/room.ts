import type { Device } from '../../broker/web/api/devices.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'
import * as invent from './fake/invent.ts'

/** A room to test with: noon in Vienna on an ordinary day. */
export const NOW_MS = Date.parse('2026-11-25T11:00:00Z')
export const HOUR_MS = 3_600_000
export const iso = invent.iso

export const settings = (): Settings => invent.settings()

/** A vessel whose batch has been under way for some hours, read just now. */
export function vessel(change: Partial<Vessel> = {}): Vessel {
  const [first] = invent.vessels(1, NOW_MS)
  if (!first) throw new Error('Cannot make a vessel: the invented room is empty')
  return { ...first, ...change }
}

export const reading = (value: number | null, atMs = NOW_MS, quality: 'good' | 'disconnected' = 'good') => ({
  value,
  at: iso(atMs),
  quality,
})

export function alarm(change: Partial<Alarm> = {}): Alarm {
  const [first] = invent.alarms(NOW_MS)
  if (!first) throw new Error('Cannot make an alarm: none was invented')
  return { ...first, ...change }
}

export function device(channels: readonly [name: string, unit: string, vesselId?: string][]): Device {
  return {
    ...invent.newDevice(NOW_MS),
    name: 'bench-3',
    channels: channels.map(([name, unit, vesselId]) => ({
      name,
      unit,
      latest: reading(24.9),
      assignedTo: vesselId === undefined ? null : { vesselId, role: 'water' },
    })),
  }
}
