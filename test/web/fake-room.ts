import type { Forecast } from '../../broker/hatch/contract.ts'
import type { Alarm } from '../../broker/rules/alarm.ts'
import type { RuleSettings } from '../../broker/rules/contract.ts'
import { RoomError, RoomErrorKind } from '../../broker/room/contract.ts'
import type { DeviceView, Room, RoomChange, RoomSettings, VesselView } from '../../broker/room/contract.ts'
import type { AssignmentRow, BatchRow, Columns, Role, Sample } from '../../broker/store/contract.ts'

export const NOW_MS = Date.UTC(2026, 10, 25, 6, 40)
const HOUR_MS = 3_600_000

export interface FakeRoom extends Room {
  readonly vesselViews: Map<string, VesselView>
  readonly batchRows: Map<string, BatchRow>
  readonly alarmRows: Map<string, Alarm>
  readonly deviceViews: DeviceView[]
  readonly readingsAsked: { vesselId: string; fromMs: number; toMs: number; points: number }[]
  emit(...changes: RoomChange[]): void
  listeners(): number
}

const NO_CHANNELS = { water: null, room: null, air: null, light: null }

export function aForecast(atMs = NOW_MS): Forecast {
  const band = (hours: number) => ({
    p10: atMs + (hours - 2) * HOUR_MS,
    p50: atMs + hours * HOUR_MS,
    p90: atMs + (hours + 3) * HOUR_MS,
  })
  return {
    atMs,
    t10: band(8),
    t90: band(14),
    harvest: {
      fromMs: atMs + 13 * HOUR_MS,
      bestMs: atMs + 15 * HOUR_MS,
      untilMs: atMs + 18 * HOUR_MS,
      best: band(15),
    },
    hatchedNow: { p10: 0, p50: 0.01, p90: 0.1 },
    stage: 'incubating',
    progress: 0.4,
    expectedWater: { p10: 26.2, p50: 26.8, p90: 27.3 },
    reachesHatch: true,
  }
}

export function anAlarm(over: Partial<Alarm> = {}): Alarm {
  return {
    id: 'alarm-1',
    vesselId: 'v1',
    rule: 'water-too-hot',
    state: 'unacknowledged',
    priority: 'critical',
    raisedAtMs: NOW_MS - 60_000,
    clearedAtMs: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    reason: 'above-limit',
    action: 'Take the lamp away.',
    text: 'Water is 30.1 °C (86.2 °F). Take the lamp away.',
    value: 30.1,
    limit: 29.4,
    ...over,
  }
}

export function aDevice(name: string): DeviceView {
  return {
    row: { name, createdAtMs: NOW_MS - HOUR_MS, revokedAtMs: null },
    online: true,
    lastHeardAtMs: NOW_MS,
    firmware: '1.0',
    rssiDbm: -61,
    uptimeS: 3600,
    backlog: 0,
    channels: [
      {
        name: 'water',
        unit: 'Cel',
        latest: { atMs: NOW_MS, value: 26.5, quality: 'good' },
        assignedTo: { vesselId: 'v1', role: 'water' },
      },
      {
        name: 'spare',
        unit: '',
        latest: { atMs: NOW_MS, value: null, quality: 'reported-fault' },
        assignedTo: null,
      },
    ],
  }
}

const rule = (limit: number): RuleSettings => ({
  enabled: true,
  limit,
  deadband: 0.3,
  onDelayMs: 60_000,
  offDelayMs: 30_500,
  priority: 'high',
})
const SETTINGS: RoomSettings = {
  temperatureUnit: 'C',
  retentionDays: 90,
  rules: {
    'water-too-hot': rule(29.4),
    'water-too-cool': rule(20),
    'air-lost': rule(0.1),
    'light-out': rule(200),
    'probe-fault': rule(0),
    'device-silent': rule(120),
  },
}

/** A room of one vessel, `v1`, with an open batch, `b1`, and no physics: it keeps what it is told. */
export function fakeRoom(): FakeRoom {
  let made = 0
  const newId = (kind: string) => `${kind}-${++made}`
  let settings = SETTINGS
  const listeners = new Set<(change: RoomChange) => void>()
  const vesselViews = new Map<string, VesselView>()
  const batchRows = new Map<string, BatchRow>()
  const alarmRows = new Map<string, Alarm>()
  const deviceViews = [aDevice('bench-1')]
  const readingsAsked: FakeRoom['readingsAsked'] = []
  const notFound = (what: string, id: string) =>
    new RoomError(RoomErrorKind.notFound, `Cannot find ${what}: none has the id ${id}`)

  const sample = (value: number): Sample => ({ atMs: NOW_MS, value, quality: 'good' })
  const assignment = (role: Role, device: string, channel: string, offset = 0): AssignmentRow => ({
    id: newId('assignment'),
    vesselId: 'v1',
    role,
    device,
    channel,
    offset,
    fromMs: NOW_MS - HOUR_MS,
    toMs: null,
  })
  const firstBatch: BatchRow = {
    id: 'b1',
    vesselId: 'v1',
    startedAtMs: NOW_MS - 10 * HOUR_MS,
    endedAtMs: null,
    litres: 1,
    cystsG: 2,
    salinityGpl: 25,
    lot: 'A',
    note: null,
  }
  batchRows.set('b1', firstBatch)
  vesselViews.set('v1', {
    row: { id: 'v1', name: 'Left cone', litres: 2, createdAtMs: NOW_MS - 99 * HOUR_MS, retiredAtMs: null },
    channels: { ...NO_CHANNELS, water: assignment('water', 'bench-1', 'water', -0.2) },
    latest: {
      water: sample(26.5),
      room: null,
      air: sample(0.8),
      light: { ...sample(0), value: null, quality: 'reported-fault' },
    },
    batch: firstBatch,
    forecast: aForecast(),
  })
  alarmRows.set('alarm-1', anAlarm())

  const vessel = (id: string): VesselView => {
    const view = vesselViews.get(id)
    if (!view) throw notFound('vessel', id)
    return view
  }
  const batch = async (id: string): Promise<BatchRow> => {
    const row = batchRows.get(id)
    if (!row) throw notFound('batch', id)
    return row
  }
  const put = (view: VesselView): VesselView => {
    vesselViews.set(view.row.id, view)
    room.emit({ kind: 'vessel', vessel: view })
    return view
  }
  const taken = (name: string, but?: string) => {
    for (const { row } of vesselViews.values()) {
      if (row.name === name && row.id !== but) {
        throw new RoomError(RoomErrorKind.conflict, `Cannot name vessel: ${name} is taken`, 'name')
      }
    }
  }

  const room: FakeRoom = {
    vesselViews,
    batchRows,
    alarmRows,
    deviceViews,
    readingsAsked,
    emit: (...changes) => changes.forEach(change => listeners.forEach(listener => listener(change))),
    listeners: () => listeners.size,
    snapshot: () => ({
      nowMs: NOW_MS,
      vessels: [...vesselViews.values()],
      devices: deviceViews,
      alarms: [...alarmRows.values()].filter(alarm => alarm.state !== 'normal'),
      settings,
    }),
    vessel,
    onChange(listener) {
      listeners.add(listener)
      return () => listeners.delete(listener)
    },
    async createVessel({ name, litres }) {
      taken(name)
      const row = { id: newId('v'), name, litres, createdAtMs: NOW_MS, retiredAtMs: null }
      const latest = { water: null, room: null, air: null, light: null }
      return put({ row, channels: NO_CHANNELS, latest, batch: null, forecast: null })
    },
    async changeVessel(id, change) {
      const view = vessel(id)
      if (change.name !== undefined) taken(change.name, id)
      return put({ ...view, row: { ...view.row, ...change } })
    },
    async retireVessel(id) {
      if (vessel(id).batch)
        throw new RoomError(RoomErrorKind.conflict, 'Cannot retire vessel: its batch is open')
      vesselViews.delete(id)
      room.emit({ kind: 'vessel-removed', vesselId: id })
    },
    async assignChannels(id, { channels, offsets }) {
      const view = vessel(id)
      const next = { ...view.channels }
      for (const [role, ref] of Object.entries(channels) as [
        Role,
        { device: string; channel: string } | null,
      ][]) {
        if (ref && ref.device !== 'bench-1') {
          throw new RoomError(
            RoomErrorKind.invalid,
            `Cannot assign ${role}: no device is called ${ref.device}`,
            role,
          )
        }
        next[role] = ref && assignment(role, ref.device, ref.channel, offsets[role])
      }
      return put({ ...view, channels: next })
    },
    async startBatch({ startedAtMs = NOW_MS, vesselId, litres, cystsG, salinityGpl, lot, note }) {
      const view = vessel(vesselId)
      if (view.batch)
        throw new RoomError(RoomErrorKind.conflict, 'Cannot start batch: one is open', 'vesselId')
      const row = { id: newId('b'), vesselId, startedAtMs, endedAtMs: null, litres, cystsG, salinityGpl }
      const started = { ...row, lot: lot ?? null, note: note ?? null }
      batchRows.set(started.id, started)
      put({ ...view, batch: started })
      return started
    },
    async endBatch(id, { endedAtMs = NOW_MS, note }) {
      const row = await batch(id)
      if (row.endedAtMs !== null)
        throw new RoomError(RoomErrorKind.conflict, 'Cannot end batch: it has ended')
      const ended = { ...row, endedAtMs, note: note ?? row.note }
      batchRows.set(id, ended)
      put({ ...vessel(row.vesselId), batch: null })
      return ended
    },
    batch,
    batches: async ({ vesselId, open, limit }) =>
      [...batchRows.values()]
        .filter(row => vesselId === undefined || row.vesselId === vesselId)
        .filter(row => open === undefined || (row.endedAtMs === null) === open)
        .slice(0, limit),
    forecast: async id => aForecast((await batch(id)).endedAtMs ?? NOW_MS),
    async readings(vesselId, query) {
      vessel(vesselId)
      readingsAsked.push({ vesselId, ...query })
      const water: Columns = {
        t: [query.fromMs, query.toMs - 1],
        min: [26, 26.1],
        max: [27, 27.1],
        mean: [26.5, 26.6],
      }
      return { water }
    },
    alarms: async ({ standing, vesselId, limit }) =>
      [...alarmRows.values()]
        .filter(alarm => !standing || alarm.state !== 'normal')
        .filter(alarm => vesselId === undefined || alarm.vesselId === vesselId)
        .slice(0, limit),
    async acknowledge(id, by) {
      const alarm = alarmRows.get(id)
      if (!alarm) throw notFound('alarm', id)
      const acknowledged: Alarm = {
        ...alarm,
        state: 'acknowledged',
        acknowledgedAtMs: NOW_MS,
        acknowledgedBy: by,
      }
      alarmRows.set(id, acknowledged)
      room.emit({ kind: 'alarm', alarm: acknowledged, raised: false })
      return acknowledged
    },
    async changeSettings(change) {
      settings = change
      room.emit({ kind: 'settings', settings })
      return change
    },
  }
  return room
}
