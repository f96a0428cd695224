import type { LiveChange, LiveMessage, LiveSnapshot } from '../../broker/web/api/live.ts'
import type { Reminder } from '../../broker/web/api/reminders.ts'
import type { Device } from '../../broker/web/api/devices.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import type { Alarm, Settings } from '../../broker/web/api/schemas.ts'

/** How the page stands to the broker. A closed set: every view knows what to show for each. */
export const Link = {
  /** Never had a snapshot. */
  opening: 'opening',
  /** As opening, and the broker was asked in vain. */
  unreached: 'unreached',
  live: 'live',
  /** Had one; what is shown grows old. */
  lost: 'lost',
  /** The broker wants a sign-in. */
  signIn: 'sign-in',
} as const
export type Link = (typeof Link)[keyof typeof Link]

/** The room as this page knows it. Replaced, never changed, so that a view can compare by identity. */
export interface RoomState {
  readonly cursor: string | null
  readonly vessels: ReadonlyMap<string, Vessel>
  readonly devices: ReadonlyMap<string, Device>
  /** Standing alarms by id. */
  readonly alarms: ReadonlyMap<string, Alarm>
  /** Those that call nobody although they might: shelved, suppressed by design, out of service. */
  readonly aside: ReadonlyMap<string, Alarm>
  /** What is due to be done, oldest first. */
  readonly reminders: readonly Reminder[]
  /** `null` until the first snapshot. */
  readonly settings: Settings | null
  /** How devices reach the broker, as far as it says; `null` when it does not. */
  readonly connect: NonNullable<LiveSnapshot['connect']> | null
}

export const EMPTY_ROOM: RoomState = {
  cursor: null,
  vessels: new Map(),
  devices: new Map(),
  alarms: new Map(),
  aside: new Map(),
  reminders: [],
  settings: null,
  connect: null,
}

/** The state after these messages, in order. Maps that nothing touched stay the same objects. */
export function applyMessages(state: RoomState, messages: readonly LiveMessage[]): RoomState {
  if (messages.length === 0) return state
  const draft = new Draft(state)
  for (const message of messages) {
    if (message.type === 'snapshot') draft.replace(message)
    else for (const change of message.changes) draft.change(change)
    draft.cursor = message.cursor
  }
  return draft.done()
}

/** Whether an alarm still needs a person, or is still true. */
export const isStanding = (alarm: Alarm): boolean => alarm.state !== 'normal' && !isAside(alarm)

/** Whether it is silent because a person or its cause made it so. */
export const isAside = ({ state }: Alarm): boolean =>
  state === 'shelved' || state === 'suppressed-by-design' || state === 'out-of-service'

/** One copy of each map for a whole frame of messages, however many they are. */
class Draft {
  cursor: string | null
  #vessels: Map<string, Vessel> | null = null
  #devices: Map<string, Device> | null = null
  #alarms: Map<string, Alarm> | null = null
  #aside: Map<string, Alarm> | null = null
  #reminders: readonly Reminder[]
  #settings: Settings | null
  #connect: RoomState['connect']
  readonly #base: RoomState

  constructor(base: RoomState) {
    this.#base = base
    this.cursor = base.cursor
    this.#reminders = base.reminders
    this.#settings = base.settings
    this.#connect = base.connect
  }

  replace(message: Extract<LiveMessage, { type: 'snapshot' }>): void {
    this.#vessels = new Map(message.vessels.map(each => [each.id, each]))
    this.#devices = new Map(message.devices.map(each => [each.name, each]))
    this.#alarms = new Map(message.alarms.filter(isStanding).map(each => [each.id, each]))
    this.#aside = new Map(message.alarms.filter(isAside).map(each => [each.id, each]))
    this.#reminders = message.reminders ?? []
    this.#settings = message.settings
    this.#connect = message.connect ?? null
  }

  change(change: LiveChange): void {
    switch (change.kind) {
      case 'reading': {
        if (change.late) return
        const vessel = this.vessels.get(change.vesselId)
        if (!vessel) return
        const latest = { ...vessel.latest, [change.channel]: change.latest }
        this.vessels.set(vessel.id, { ...vessel, latest })
        return
      }
      case 'forecast': {
        const vessel = this.vessels.get(change.vesselId)
        if (vessel) this.vessels.set(vessel.id, { ...vessel, forecast: change.forecast })
        return
      }
      case 'vessel':
        this.vessels.set(change.vessel.id, change.vessel)
        return
      case 'vessel-removed':
        this.vessels.delete(change.vesselId)
        return
      case 'alarm':
        if (isStanding(change.alarm)) this.alarms.set(change.alarm.id, change.alarm)
        else this.alarms.delete(change.alarm.id)
        if (isAside(change.alarm)) this.aside.set(change.alarm.id, change.alarm)
        else if (this.#base.aside.size > 0 || this.#aside) this.aside.delete(change.alarm.id)
        return
      case 'device':
        this.devices.set(change.device.name, change.device)
        return
      case 'device-removed':
        this.devices.delete(change.device)
        return
      case 'reminders':
        this.#reminders = change.reminders
        return
      case 'settings':
        this.#settings = change.settings
        return
      // Curves, logs, walks and the plan keep these for themselves.
      case 'plan':
      case 'walk':
      case 'walk-over':
      case 'backfilled':
      case 'batch-event':
        return
    }
  }

  done(): RoomState {
    return {
      cursor: this.cursor,
      vessels: this.#vessels ?? this.#base.vessels,
      devices: this.#devices ?? this.#base.devices,
      alarms: this.#alarms ?? this.#base.alarms,
      aside: this.#aside ?? this.#base.aside,
      reminders: this.#reminders,
      settings: this.#settings,
      connect: this.#connect,
    }
  }

  private get vessels(): Map<string, Vessel> {
    return (this.#vessels ??= new Map(this.#base.vessels))
  }
  private get devices(): Map<string, Device> {
    return (this.#devices ??= new Map(this.#base.devices))
  }
  private get aside(): Map<string, Alarm> {
    return (this.#aside ??= new Map(this.#base.aside))
  }
  private get alarms(): Map<string, Alarm> {
    return (this.#alarms ??= new Map(this.#base.alarms))
  }
}
