import {
  MAX_ALARM_CHANNELS,
  MAX_ALARM_RULES,
  MAX_ALARM_TEXT,
  QUIET,
  type DeviceAlarm,
} from '../../firmware-protocol/device-alarm.ts'
import { AlarmState, RuleName, type Alarm } from '../rules/alarm.ts'
import { byUrgency } from '../rules/urgency.ts'
import type { VesselView } from '../room/views.ts'

/** What the payload is made from: alarms that stand, and the vessels with what is assigned to them. */
export interface Standing {
  readonly alarms: readonly Alarm[]
  readonly vessels: readonly Pick<VesselView, 'row' | 'channels'>[]
  readonly nowMs: number
}

/** States in which an alarm is up. All others were put aside, by a person or by design: not heard and not counted. */
const UP: ReadonlySet<AlarmState> = new Set([
  AlarmState.unacknowledged,
  AlarmState.acknowledged,
  AlarmState.returnedUnacknowledged,
  AlarmState.latched,
  AlarmState.latchedAcknowledged,
])
const UNANSWERED: ReadonlySet<AlarmState> = new Set([
  AlarmState.unacknowledged,
  AlarmState.returnedUnacknowledged,
  AlarmState.latched,
])
/**
 * Heard. What has gone by itself and does not latch is left to the screen and to people's phones: there is nothing at the vessel
 * any more to run to. (ANSI/ISA-18.2, the table of alarm state indications; from memory.)
 */
const HEARD: ReadonlySet<AlarmState> = new Set([AlarmState.unacknowledged, AlarmState.latched])

/** Rules whose water is, or is about to be, hotter than the animals bear. */
const HOT: ReadonlySet<RuleName> = new Set([RuleName.waterTooHot, RuleName.waterHeadingHot])

/**
 * Of what belongs to no vessel: the room without power, and people who may not be reached. The service's other troubles are for
 * whoever minds the service, not for a buzzer in the fish room.
 */
const FOR_EVERYBODY: ReadonlySet<RuleName> = new Set([RuleName.powerLost, RuleName.channelFailing])

/** What a device is told on its alarm topic: what stands in the vessels that it has a channel in. Pure. */
export function deviceAlarmOf(device: string, { alarms, vessels, nowMs }: Standing): DeviceAlarm {
  const own = new Map(
    vessels
      .map(
        vessel => [vessel.row.id, { name: vessel.row.name, channels: channelsOf(device, vessel) }] as const,
      )
      .filter(([, { channels }]) => channels.length > 0),
  )
  if (own.size === 0) return QUIET
  const ours = alarms.filter(({ vesselId, rule }) =>
    vesselId === null ? FOR_EVERYBODY.has(rule) : own.has(vesselId),
  )
  const hot = ours.filter(isHot).flatMap(({ vesselId }) => own.get(vesselId ?? '')?.channels ?? [])
  const lamp = { lampOff: hot.length > 0, hot: [...new Set(hot)].sort().slice(0, MAX_ALARM_CHANNELS) }

  const standing = ours.filter(alarm => UP.has(alarm.state)).sort(byUrgency)
  const sounding = standing.filter(alarm => HEARD.has(alarm.state))
  const first = sounding[0] ?? standing[0]
  if (!first) return { ...QUIET, ...lamp }
  return {
    standing: standing.length,
    unacknowledged: standing.filter(alarm => UNANSWERED.has(alarm.state)).length,
    priority: first.priority,
    rules: [...new Set<string>(standing.map(alarm => alarm.rule))].slice(0, MAX_ALARM_RULES),
    sinceS: Math.max(0, Math.floor((nowMs - Math.min(...standing.map(alarm => alarm.raisedAtMs))) / 1000)),
    sound: sounding.length > 0,
    ...lamp,
    text: lineOf(own.get(first.vesselId ?? '')?.name, first),
  }
}

/**
 * Whether the water is, or is about to be, too hot, whoever has been told of it. To shelve an alarm spares a person's ears and
 * lights no lamp, and neither does another alarm that explains this one. Work on the vessel does: hands are on it, and warm water
 * may be going in. Out of service, nobody looks at the probe's word at all.
 */
function isHot({ rule, state, clearedAtMs, causedBy }: Alarm): boolean {
  if (!HOT.has(rule) || clearedAtMs !== null) return false
  return (
    UP.has(state) || state === AlarmState.shelved || (state === AlarmState.suppressed && causedBy !== null)
  )
}

function channelsOf(device: string, { channels }: Pick<VesselView, 'channels'>): string[] {
  return Object.values(channels).flatMap(row => (row?.device === device ? [row.channel] : []))
}

function lineOf(vessel: string | undefined, { action, text }: Alarm): string {
  const words = action || text
  const line = (vessel === undefined ? words : `${vessel}: ${words}`).replace(/\s+/g, ' ')
  if (line.length <= MAX_ALARM_TEXT) return line
  return `${line.slice(0, MAX_ALARM_TEXT - 1).replace(/[\uD800-\uDBFF]$/, '')}…`
}

/** Whether a device would act alike on both: how long ago it began, and when it was told, does not matter to it. */
export function saysTheSame(one: DeviceAlarm, other: DeviceAlarm): boolean {
  return (
    JSON.stringify({ ...one, sinceS: null, atMs: null }) ===
    JSON.stringify({ ...other, sinceS: null, atMs: null })
  )
}
