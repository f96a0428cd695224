import type { Logger } from 'pino'
import type { DeviceAlarm } from '../../firmware-protocol/device-alarm.ts'
import { TopicKind } from '../../firmware-protocol/topics.ts'
import type { VesselView } from '../room/views.ts'
import type { Room, RoomChange } from '../room/contract.ts'
import { deviceAlarmOf, saysTheSame } from './alarm.ts'
import { RetainedPost } from './retained-post.ts'

/**
 * A device that has just come may not have subscribed yet, and then hears the retained message alone, which cannot tell it the
 * time. So it is told once more. Own choice: some round trips of a slow radio.
 */
const SUBSCRIBED_MS = 2000

export interface DeviceAlarmPostOptions {
  readonly room: Pick<Room, 'snapshot' | 'onChange'>
  /** Publishes with retain. Rejects while the broker is out of reach. */
  readonly publish: (topic: string, payload: string) => Promise<void>
  readonly logger: Pick<Logger, 'warn' | 'error'>
  /** A device hears of changes no more often than this; the newest wins. */
  readonly everyMs?: number
  /** After a failure it is tried again so much later. */
  readonly retryMs?: number
}

export interface DeviceAlarmPost {
  /** Tells every device how things are: at the start, and when the broker may have forgotten. */
  tellAll(): void
  /** Stops telling. What was told stays retained. */
  close(): void
}

/**
 * Keeps each device's alarm topic abreast of the room: at every transition, at every change of assignments, when the device
 * comes (with `sinceS` worked out anew), and at the start.
 */
export function createDeviceAlarmPost(options: DeviceAlarmPostOptions): DeviceAlarmPost {
  const { room } = options
  /** Which devices have a channel in a vessel, as last seen: who loses one is told too. */
  const devicesOf = new Map<string, ReadonlySet<string>>()
  const online = new Set<string>()
  /** Devices that came a moment ago. */
  const arriving = new Map<string, NodeJS.Timeout>()
  const post = new RetainedPost<DeviceAlarm>({
    ...options,
    kind: TopicKind.alarm,
    wanted: () => {
      const snapshot = room.snapshot()
      return device => {
        const alarm = deviceAlarmOf(device, snapshot)
        return alarm === null ? null : { ...alarm, atMs: snapshot.nowMs }
      }
    },
    same: saysTheSame,
    inVain: 'devices cannot be told of their alarms; trying on',
  })
  const stop = room.onChange(follow)

  function follow(change: RoomChange): void {
    switch (change.kind) {
      case 'alarm':
        for (const device of concernedBy(change.alarm.vesselId)) post.mark(device)
        return
      case 'vessel':
        return settle(change.vessel)
      case 'vessel-removed':
        for (const device of concernedBy(change.vesselId)) post.mark(device)
        devicesOf.delete(change.vesselId)
        return
      case 'device': {
        const { row, online: here } = change.device
        if (row.revokedAtMs !== null) return forget(row.name)
        if (here && !online.has(row.name)) arrive(row.name)
        if (here) online.add(row.name)
        else online.delete(row.name)
        return
      }
      case 'device-removed':
        return forget(change.device)
      case 'settings':
      case 'reading':
      case 'forecast':
      case 'batch-event':
      case 'backfilled':
        return
      default:
        // What the room may come to tell later changes nothing on a device.
        return
    }
  }

  /** It may speak no more: what is retained for it goes. */
  function forget(device: string): void {
    online.delete(device)
    post.mark(device, { gone: true })
  }

  function arrive(device: string): void {
    post.mark(device, { anew: true })
    if (arriving.has(device)) return
    const again = setTimeout(() => {
      arriving.delete(device)
      if (online.has(device)) post.mark(device, { anew: true })
    }, SUBSCRIBED_MS)
    again.unref()
    arriving.set(device, again)
  }

  /** What belongs to no vessel concerns them all. */
  function concernedBy(vesselId: string | null): Iterable<string> {
    return vesselId === null
      ? [...devicesOf.values()].flatMap(each => [...each])
      : (devicesOf.get(vesselId) ?? [])
  }

  /** Tells those who have a channel in the vessel now, and those who had one before. */
  function settle(vessel: VesselView): void {
    const before = devicesOf.get(vessel.row.id)
    const now = devicesIn(vessel)
    devicesOf.set(vessel.row.id, now)
    if (before && sameSet(before, now)) return
    for (const device of new Set([...(before ?? []), ...now])) post.mark(device)
  }

  return {
    tellAll() {
      const { vessels, devices } = room.snapshot()
      for (const vessel of vessels) devicesOf.set(vessel.row.id, devicesIn(vessel))
      for (const device of devices) {
        if (device.row.revokedAtMs !== null) continue
        if (device.online) online.add(device.row.name)
        post.mark(device.row.name, { anew: true })
      }
      for (const those of devicesOf.values()) for (const device of those) post.mark(device, { anew: true })
    },
    close() {
      stop()
      post.close()
      for (const again of arriving.values()) clearTimeout(again)
      arriving.clear()
    },
  }
}

function devicesIn({ channels }: VesselView): ReadonlySet<string> {
  return new Set(Object.values(channels).flatMap(row => (row === null ? [] : [row.device])))
}

function sameSet(one: ReadonlySet<string>, other: ReadonlySet<string>): boolean {
  return one.size === other.size && [...one].every(each => other.has(each))
}
