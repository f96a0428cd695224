import type { Logger } from 'pino'
import type { DeviceAlarm } from '../../firmware-protocol/device-alarm.ts'
import { TopicKind, topicOf } from '../../firmware-protocol/topics.ts'
import type { Room, RoomChange, RoomSnapshot, VesselView } from '../room/contract.ts'
import { deviceAlarmOf, saysTheSame } from './device-alarm.ts'

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

/** Real time: a relay and an ear know no other. */
const EVERY_MS = 1000
const RETRY_MS = 5000
/**
 * A device that has just come may not have subscribed yet, and then hears the retained message alone, which cannot tell it the
 * time. So it is told once more. Own choice: some round trips of a slow radio.
 */
const SUBSCRIBED_MS = 2000

/** What is on its way to one device, or was told last. */
interface Slot {
  told: DeviceAlarm | null
  /** Something changed that this device has not been told. */
  due: boolean
  /** Tell even what was told before, as `sinceS` has moved on. */
  anew: boolean
  /** The device was revoked: its retained message is to go. */
  gone: boolean
  /** It was told a moment ago, or a failure is waited out. */
  resting: NodeJS.Timeout | null
  sending: boolean
}

/**
 * Keeps each device's alarm topic abreast of the room: at every transition, at every change of assignments, when the device
 * comes, and at the start. All that changes within one turn is told at once, and no device hears more than one a second.
 */
export function createDeviceAlarmPost(options: DeviceAlarmPostOptions): DeviceAlarmPost {
  const { room, publish, logger, everyMs = EVERY_MS, retryMs = RETRY_MS } = options
  const slots = new Map<string, Slot>()
  /** Which devices have a channel in a vessel, as last seen: who loses one is told too. */
  const devicesOf = new Map<string, ReadonlySet<string>>()
  const online = new Set<string>()
  /** Devices that came a moment ago. */
  const arriving = new Map<string, NodeJS.Timeout>()
  let waiting = false
  /** Said once for each time that the broker is out of reach. */
  let failing = false
  let closed = false
  const stop = room.onChange(follow)

  function follow(change: RoomChange): void {
    switch (change.kind) {
      case 'alarm':
        for (const device of concernedBy(change.alarm.vesselId)) mark(device)
        return
      case 'vessel':
        return settle(change.vessel)
      case 'vessel-removed':
        for (const device of concernedBy(change.vesselId)) mark(device)
        devicesOf.delete(change.vesselId)
        return
      case 'device': {
        const { row, online: here } = change.device
        if (here && !online.has(row.name)) arrive(row.name)
        if (here) online.add(row.name)
        else online.delete(row.name)
        return
      }
      case 'device-removed':
        online.delete(change.device)
        mark(change.device, { gone: true })
        return
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

  function arrive(device: string): void {
    mark(device, { anew: true })
    if (arriving.has(device)) return
    const again = setTimeout(() => {
      arriving.delete(device)
      if (online.has(device)) mark(device, { anew: true })
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
    for (const device of new Set([...(before ?? []), ...now])) mark(device)
  }

  function mark(device: string, how: { anew?: boolean; gone?: boolean } = {}): void {
    if (closed) return
    const slot: Slot = slots.get(device) ?? newSlot()
    slots.set(device, slot)
    slot.due = true
    slot.anew ||= how.anew ?? false
    slot.gone = how.gone ?? false
    if (waiting) return
    waiting = true
    // Whatever else happens in this turn belongs into the same message.
    queueMicrotask(tellDue)
  }

  function tellDue(): void {
    waiting = false
    const free = [...slots].filter(([, slot]) => slot.due && !slot.sending && slot.resting === null)
    if (closed || free.length === 0) return
    const snapshot = room.snapshot()
    for (const [device, slot] of free) tell(device, slot, snapshot)
  }

  function tell(device: string, slot: Slot, snapshot: RoomSnapshot): void {
    const alarm = slot.gone ? null : deviceAlarmOf(device, snapshot)
    const known = alarm !== null && slot.told !== null && saysTheSame(alarm, slot.told)
    slot.due = false
    if (known && !slot.anew) return
    slot.anew = false
    slot.sending = true
    publish(
      topicOf(device, TopicKind.alarm),
      alarm === null ? '' : JSON.stringify({ ...alarm, atMs: snapshot.nowMs }),
    ).then(
      () => {
        slot.told = alarm
        failing = false
        rest(device, slot, everyMs)
      },
      (error: unknown) => {
        // Whatever the device was told before may have been lost with the broker.
        slot.told = null
        slot.due = true
        if (!closed && !failing)
          logger.warn({ error: messageOf(error) }, 'devices cannot be told of their alarms; trying on')
        failing = true
        rest(device, slot, retryMs)
      },
    )
  }

  function rest(device: string, slot: Slot, forMs: number): void {
    slot.sending = false
    if (closed) return
    slot.resting = setTimeout(() => {
      slot.resting = null
      if (slot.due) tellDue()
      else if (slot.gone) slots.delete(device)
    }, forMs)
    slot.resting.unref()
  }

  return {
    tellAll() {
      const { vessels, devices } = room.snapshot()
      for (const vessel of vessels) devicesOf.set(vessel.row.id, devicesIn(vessel))
      for (const device of devices) {
        if (device.online) online.add(device.row.name)
        mark(device.row.name, { anew: true })
      }
      for (const those of devicesOf.values()) for (const device of those) mark(device, { anew: true })
    },
    close() {
      closed = true
      stop()
      for (const slot of slots.values()) if (slot.resting !== null) clearTimeout(slot.resting)
      slots.clear()
      for (const again of arriving.values()) clearTimeout(again)
      arriving.clear()
    },
  }
}

function newSlot(): Slot {
  return { told: null, due: false, anew: false, gone: false, resting: null, sending: false }
}

function devicesIn({ channels }: VesselView): ReadonlySet<string> {
  return new Set(Object.values(channels).flatMap(row => (row === null ? [] : [row.device])))
}

function sameSet(one: ReadonlySet<string>, other: ReadonlySet<string>): boolean {
  return one.size === other.size && [...one].every(each => other.has(each))
}

const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error))
