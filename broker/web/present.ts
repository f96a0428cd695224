import { COVERAGE } from '../hatch/calibration/uncertainty.ts'
import type { DeviceView, VesselView } from '../room/views.ts'
import type { RoomChange, RoomSettings, RoomSnapshot } from '../room/contract.ts'
import { RuleName, type Alarm as RuledAlarm } from '../rules/alarm.ts'
import { CALIBRATE_EVERY_DAYS } from '../rules/calibration-reminder.ts'
import type { Hush } from '../rules/hush.ts'
import type { WalkChange } from '../room/books/contract.ts'
import { reminderPage } from '../room/reminder-page.ts'
import type { Reminder as RuledReminder } from '../rules/reminders.ts'
import type { Reminder } from './api/reminders.ts'
import type { RuleSettings } from '../rules/contract.ts'
import { MOST_SHELVED_MS } from '../rules/shelving.ts'
import type { Columns, QuarantineRow, Role, Sample } from '../store/contract.ts'
import type { Suppression } from './api/alarm-acts.ts'
import type { LiveChange, LiveSnapshot } from './api/live.ts'
import type { Device, QuarantineItem } from './api/devices.ts'
import type { Readings, Vessel } from './api/vessels.ts'
import type { Alarm, Latest, Settings } from './api/schemas.ts'
import { batch, batchEvent, forecast } from './present-batch.ts'
import { walk } from './present-books.ts'
import { iso, isoOrNull } from './times.ts'

/** From the room's views (Unix ms) to what the API and the live feed send (ISO 8601 UTC, units in names), in one place. */

const CHANNEL_OF = {
  water: 'waterC',
  'upper-water': 'upperWaterC',
  room: 'roomC',
  air: 'airLpm',
  light: 'lightLx',
  level: 'levelShare',
} as const satisfies Record<Role, string>

export function latest(sample: Sample): Latest {
  return { value: sample.value, at: iso(sample.atMs), quality: sample.quality }
}

export function vessel({ row, channels, ...view }: VesselView): Vessel {
  const channel = (role: Role) => {
    const assigned = channels[role]
    return assigned && `${assigned.device}/${assigned.channel}`
  }
  const offset = (role: Role) => channels[role]?.offset ?? 0
  const newest = (role: Role) => {
    const sample = view.latest[role]
    return sample && latest(sample)
  }
  return {
    id: row.id,
    name: row.name,
    litres: row.litres,
    createdAt: iso(row.createdAtMs),
    channels: {
      water: channel('water'),
      'upper-water': channel('upper-water'),
      room: channel('room'),
      air: channel('air'),
      light: channel('light'),
      level: channel('level'),
    },
    offsets: {
      water: offset('water'),
      'upper-water': offset('upper-water'),
      room: offset('room'),
      air: offset('air'),
      light: offset('light'),
      level: offset('level'),
    },
    waterPlusMinusC: plusMinus(channels.water?.uncertainty),
    latest: {
      waterC: newest('water'),
      upperWaterC: newest('upper-water'),
      roomC: newest('room'),
      airLpm: newest('air'),
      lightLx: newest('light'),
      levelShare: newest('level'),
    },
    ...(view.silentAfterMs && {
      silentAfterS: Object.fromEntries(
        Object.entries(view.silentAfterMs).map(([role, ms]) => [role, ms / 1000]),
      ),
    }),
    batch: view.batch && batch(view.batch),
    forecast: view.forecast && forecast(view.forecast),
    suppression: view.hush ? suppression(view.hush) : null,
  }
}

const plusMinus = (uncertainty: number | undefined) =>
  uncertainty === undefined ? null : COVERAGE * uncertainty

export function suppression({ reason, sinceMs, untilMs, by }: Hush): Suppression {
  return { reason, since: iso(sinceMs), until: iso(untilMs), by }
}

export function device({ row, channels, ...view }: DeviceView): Device {
  return {
    name: row.name,
    createdAt: iso(row.createdAtMs),
    revokedAt: isoOrNull(row.revokedAtMs),
    newPasswordUntil: isoOrNull(row.offeredUntilMs ?? null),
    pairedAt: isoOrNull(view.pairedAtMs ?? null),
    online: view.online,
    lastHeardAt: isoOrNull(view.lastHeardAtMs),
    firmware: view.firmware,
    rssiDbm: view.rssiDbm,
    uptimeS: view.uptimeS,
    backlog: view.backlog,
    startedAt: isoOrNull(view.startedAtMs ?? null),
    dropped: view.dropped ?? null,
    resetReason: view.resetReason ?? null,
    clockErrorMs: view.clockErrorMs ?? null,
    freeBytes: view.freeBytes ?? null,
    configRevision: view.configRevision ?? null,
    channels: channels.map(({ name, unit, assignedTo, ...channel }) => ({
      name,
      unit,
      latest: latest(channel.latest),
      assignedTo: assignedTo && { vesselId: assignedTo.vesselId, role: assignedTo.role },
    })),
  }
}

export function alarm(of: RuledAlarm): Alarm {
  const { id, vesselId, rule, state, priority, reason, action, text, value, limit, acknowledgedBy } = of
  return {
    id,
    vesselId,
    rule,
    state,
    priority,
    raisedAt: iso(of.raisedAtMs),
    clearedAt: isoOrNull(of.clearedAtMs),
    acknowledgedAt: isoOrNull(of.acknowledgedAtMs),
    acknowledgedBy,
    ...(of.seenBefore && { acknowledgedBefore: { at: iso(of.seenBefore.atMs), by: of.seenBefore.by } }),
    reason,
    action,
    text,
    value,
    limit,
    announcedAt: isoOrNull(of.announcedAtMs),
    shelvedUntil: isoOrNull(of.shelvedUntilMs),
    shelvedOnce: of.shelvedOnce,
    setAsideBy: of.setAsideBy,
    ...(of.outUntilMs === undefined ? {} : { outUntil: iso(of.outUntilMs) }),
    ...(of.outWhy ? { outWhy: of.outWhy } : {}),
    suppressedUntil: isoOrNull(of.suppressedUntilMs),
    causedBy: of.causedBy,
    ...(of.takes === undefined ? {} : { takes: of.takes }),
    consequences: [...of.consequences],
  }
}

export function reminder({ dueAtMs, untilMs, ...rest }: RuledReminder): Reminder {
  return { ...rest, dueAt: iso(dueAtMs), until: iso(untilMs), page: reminderPage(rest) }
}

export function readings(fromMs: number, toMs: number, channels: Partial<Record<Role, Columns>>): Readings {
  // The columns go straight into JSON; copying thousands of numbers only to drop `readonly` would be waste.
  return { from: iso(fromMs), to: iso(toMs), channels: channels as Readings['channels'] }
}

export function quarantineItem(row: QuarantineRow): QuarantineItem {
  const { id, device, topic, reason, detail, bytes, payload } = row
  const payloadBase64 = Buffer.from(payload).toString('base64')
  return { id, at: iso(row.receivedAtMs), device, topic, reason, detail, bytes, payloadBase64 }
}

type ApiRule = Settings['rules'][RuleName]
const ruleOut = ({ onDelayMs, offDelayMs, reAlarmMs, leastCostMs, ...rule }: RuleSettings): ApiRule => ({
  ...rule,
  ...(reAlarmMs === undefined ? {} : { reAlarmS: reAlarmMs / 1000 }),
  ...(leastCostMs === undefined ? {} : { leastCostS: leastCostMs / 1000 }),
  onDelayS: onDelayMs / 1000,
  offDelayS: offDelayMs / 1000,
})
const ruleIn = ({ onDelayS, offDelayS, reAlarmS, leastCostS, ...rule }: ApiRule): RuleSettings => ({
  ...rule,
  ...(reAlarmS === undefined ? {} : { reAlarmMs: Math.round(reAlarmS * 1000) }),
  ...(leastCostS === undefined ? {} : { leastCostMs: Math.round(leastCostS * 1000) }),
  onDelayMs: Math.round(onDelayS * 1000),
  offDelayMs: Math.round(offDelayS * 1000),
})

const RULE_NAMES = Object.values(RuleName)

function eachRule<From, To>(
  rules: Readonly<Record<RuleName, From>>,
  turn: (rule: From) => To,
): Record<RuleName, To> {
  return Object.fromEntries(RULE_NAMES.map(name => [name, turn(rules[name])])) as Record<RuleName, To>
}

export function settings({ shelveLimitMs = MOST_SHELVED_MS, rules, ...of }: RoomSettings): Settings {
  const { temperatureUnit, retentionDays, altitudeM, calibrateEveryDays = CALIBRATE_EVERY_DAYS } = of
  return {
    temperatureUnit,
    retentionDays,
    altitudeM,
    shelveLimitMin: shelveLimitMs / 60_000,
    calibrateEveryDays,
    rules: eachRule(rules, ruleOut),
  }
}

/** One rule's settings. */
export const ruleSetting = ruleOut

/** The other way: what a person sent, as the room takes it. */
export function settingsIn({ shelveLimitMin, rules, ...of }: Settings): RoomSettings {
  return { ...of, shelveLimitMs: Math.round(shelveLimitMin * 60_000), rules: eachRule(rules, ruleIn) }
}

export function snapshot(
  of: RoomSnapshot,
  cursor: string,
  nowMs: number,
  clockSpeed: number,
  connect?: LiveSnapshot['connect'],
): LiveSnapshot {
  return {
    type: 'snapshot',
    cursor,
    nowMs,
    clockSpeed,
    ...(connect ? { connect } : {}),
    vessels: of.vessels.map(vessel),
    devices: of.devices.map(device),
    alarms: of.alarms.map(alarm),
    settings: settings(of.settings),
    reminders: (of.reminders ?? []).map(reminder),
  }
}

/** What the live feed tells: changes of the room and of walked work, and that the feeding plan was made anew. */
export type FedChange = RoomChange | WalkChange | { readonly kind: 'plan'; readonly computedAtMs: number }

export function change(of: FedChange): LiveChange {
  switch (of.kind) {
    case 'reading':
      return {
        kind: of.kind,
        vesselId: of.vesselId,
        channel: CHANNEL_OF[of.role],
        latest: latest(of.sample),
        late: of.late,
      }
    case 'forecast':
      return { kind: of.kind, vesselId: of.vesselId, forecast: of.forecast && forecast(of.forecast) }
    case 'batch-event':
      return { kind: of.kind, vesselId: of.vesselId, event: batchEvent(of.event) }
    case 'vessel':
      return { kind: of.kind, vessel: vessel(of.vessel) }
    case 'alarm':
      return { kind: of.kind, alarm: alarm(of.alarm) }
    case 'device':
      return { kind: of.kind, device: device(of.device) }
    case 'reminders':
      return { kind: of.kind, reminders: of.reminders.map(reminder) }
    case 'settings':
      return { kind: of.kind, settings: settings(of.settings) }
    case 'walk':
      return { kind: of.kind, walk: walk(of.walk) }
    case 'walk-over':
    case 'plan':
    case 'vessel-removed':
    case 'device-removed':
    case 'backfilled':
      return of
  }
}
