import { A_DIAGNOSIS } from './a-diagnosis.ts'
import type { Reminder } from '../../broker/rules/reminders.ts'
import type { Alarm } from '../../broker/rules/alarm.ts'
import { RoomError, RoomErrorKind, type Room, type RoomChange } from '../../broker/room/contract.ts'
import type { BatchEvent } from '../../broker/room/event-contract.ts'
import type { DeviceView, VesselView } from '../../broker/room/views.ts'
import type { JournalQuery } from '../../broker/room/alarm-journal.ts'
import type { AssignmentRow, BatchRow, Columns, Role, Sample } from '../../broker/store/contract.ts'
import { fakeJournal } from './fake-journal.ts'
import { SETTINGS } from './fake-settings.ts'
import { aDevice, aForecast, anAlarm, HOUR_MS, LOTS, NOW_MS } from './examples.ts'

export interface FakeRoom extends Room {
  readonly vesselViews: Map<string, VesselView>
  readonly batchRows: Map<string, BatchRow>
  readonly alarmRows: Map<string, Alarm>
  readonly deviceViews: DeviceView[]
  readonly readingsAsked: ({ vesselId: string } & Parameters<Room['readings']>[1])[]
  readonly journalsAsked: JournalQuery[]
  readonly coursesAsked: { fromMs: number; toMs: number; points: number }[]
  emit(...changes: RoomChange[]): void
  listeners(): number
}

const NO_CHANNELS = { water: null, 'upper-water': null, room: null, air: null, light: null, level: null }

/** A room of one vessel, `v1`, with an open batch, `b1`, and no physics: it keeps what it is told. */
export function fakeRoom(): FakeRoom {
  let made = 0
  const newId = (kind: string) => `${kind}-${++made}`
  let settings = SETTINGS
  const doneRows: Reminder[] = []
  const reminderRows: Reminder[] = [
    {
      id: 'b1.knock-down',
      kind: 'knock-down',
      vesselId: 'v1',
      batchId: 'b1',
      dueAtMs: NOW_MS - HOUR_MS,
      untilMs: NOW_MS + HOUR_MS,
      title: 'Knock the ring down in Cone 1',
      text: 'Wash them back down.',
    },
  ]
  const listeners = new Set<(change: RoomChange) => void>()
  const vesselViews = new Map<string, VesselView>()
  const batchRows = new Map<string, BatchRow>()
  const alarmRows = new Map<string, Alarm>()
  const deviceViews = [aDevice('bench-1')]
  const readingsAsked: FakeRoom['readingsAsked'] = []
  const coursesAsked: FakeRoom['coursesAsked'] = []
  const events: BatchEvent[] = []
  const journalsAsked: JournalQuery[] = []
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
    goal: 'balanced',
    note: null,
  }
  batchRows.set('b1', firstBatch)
  vesselViews.set('v1', {
    row: { id: 'v1', name: 'Left cone', litres: 2, createdAtMs: NOW_MS - 99 * HOUR_MS, retiredAtMs: null },
    channels: { ...NO_CHANNELS, water: assignment('water', 'bench-1', 'water', -0.2) },
    latest: {
      water: sample(26.5),
      'upper-water': null,
      room: null,
      air: sample(0.8),
      light: { ...sample(0), value: null, quality: 'reported-fault' },
      level: null,
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

  const setAlarm = (id: string, change: Partial<Alarm>): Alarm => {
    const alarm = alarmRows.get(id)
    if (!alarm) throw notFound('alarm', id)
    const changed = { ...alarm, ...change }
    alarmRows.set(id, changed)
    room.emit({ kind: 'alarm', alarm: changed, raised: false })
    return changed
  }

  const room: FakeRoom = {
    vesselViews,
    batchRows,
    alarmRows,
    deviceViews,
    readingsAsked,
    coursesAsked,
    journalsAsked,
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
      const latest = { water: null, 'upper-water': null, room: null, air: null, light: null, level: null }
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
    async startBatch({ startedAtMs = NOW_MS, vesselId, litres, cystsG, salinityGpl, lot, goal, note }) {
      const view = vessel(vesselId)
      if (view.batch)
        throw new RoomError(RoomErrorKind.conflict, 'Cannot start batch: one is open', 'vesselId')
      const row = { id: newId('b'), vesselId, startedAtMs, endedAtMs: null, litres, cystsG, salinityGpl }
      const started: BatchRow = { ...row, lot: lot ?? null, goal: goal ?? 'balanced', note: note ?? null }
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
    batches: async ({ vesselId, lot, open, limit }) =>
      [...batchRows.values()]
        .filter(row => vesselId === undefined || row.vesselId === vesselId)
        .filter(row => lot === undefined || row.lot === lot)
        .filter(row => open === undefined || (row.endedAtMs === null) === open)
        .slice(0, limit),
    forecast: async id => aForecast((await batch(id)).endedAtMs ?? NOW_MS),
    async changeBatch(id, { by: _by, ...change }) {
      const changed = { ...(await batch(id)), ...change }
      batchRows.set(id, changed)
      return changed
    },
    async discardBatch(id) {
      await batch(id)
      batchRows.delete(id)
    },
    async course(id, { fromMs = NOW_MS - HOUR_MS, toMs = NOW_MS + HOUR_MS, points }) {
      await batch(id)
      coursesAsked.push({ fromMs, toMs, points })
      const share = { p10: [0, 0.1], p50: [0, 0.2], p90: [0.1, 0.4] }
      const water = { p10: [null, 26], p50: [null, 27], p90: [null, 28] }
      return { t: [fromMs, toMs], hatched: share, usable: share, water }
    },
    async lookBack(id, { points, toMs }) {
      const course = await room.course(id, { points, fromMs: (await batch(id)).startedAtMs })
      const forecast = await room.forecast(id)
      return { forecast, course, expectedWater: { t: [toMs], p10: [26], p50: [27], p90: [28] } }
    },
    everyVessel: async () => [...vesselViews.values()].map(({ row }) => row),
    async settingsThen({ fromMs }) {
      return [{ fromMs, rules: room.snapshot().settings.rules }]
    },
    async hatchLine(id, { toMs }) {
      const { startedAtMs } = await room.batch(id)
      return { t: [startedAtMs, toMs], share: [0, 1], t10Ms: startedAtMs + 15 * 3_600_000, t90Ms: null }
    },
    async diagnosis(id) {
      await batch(id)
      return A_DIAGNOSIS
    },
    async readyEvent(batchId, input) {
      await batch(batchId)
      return { id: 'ready', keep: () => room.recordEvent(batchId, input) }
    },
    async recordEvent(batchId, { atMs = NOW_MS, replaces, ...rest }) {
      await batch(batchId)
      if (replaces !== undefined) await room.withdrawEvent(batchId, replaces)
      const event: BatchEvent = {
        ...rest,
        id: newId('e'),
        batchId,
        atMs,
        recordedAtMs: NOW_MS,
        withdrawnAtMs: null,
        estimate: null,
      }
      events.push(event)
      room.emit({ kind: 'batch-event', vesselId: 'v1', event })
      return event
    },
    async withdrawEvent(batchId, eventId) {
      const at = events.findIndex(event => event.batchId === batchId && event.id === eventId)
      if (at < 0) throw notFound('entry', eventId)
      return (events[at] = { ...events[at]!, withdrawnAtMs: NOW_MS })
    },
    readyWithdrawal: async (batchId, eventId) => ({
      id: eventId,
      keep: () => room.withdrawEvent(batchId, eventId),
    }),
    async batchEvents(batchId) {
      await batch(batchId)
      return events.filter(event => event.batchId === batchId)
    },
    lots: async () => LOTS,
    async readings(vesselId, query) {
      vessel(vesselId)
      readingsAsked.push({ vesselId, ...query })
      const [from, to] = [query.fromMs, query.toMs - 1]
      const water: Columns = { t: [from, to], min: [26, 26.1], max: [27, 27.1], mean: [26.5, 26.6] }
      return { water }
    },
    alarms: async ({ standing, vesselId, states, limit }) =>
      [...alarmRows.values()]
        .filter(alarm => !standing || alarm.state !== 'normal')
        .filter(alarm => vesselId === undefined || alarm.vesselId === vesselId)
        .filter(alarm => states === undefined || states.includes(alarm.state))
        .slice(0, limit),
    journal: async query => {
      journalsAsked.push(query)
      return fakeJournal([...alarmRows.values()], query)
    },
    acknowledge: async (id, by) =>
      setAlarm(id, { state: 'acknowledged', acknowledgedAtMs: NOW_MS, acknowledgedBy: by }),
    resetAlarm: async (id, by) => setAlarm(id, { state: 'normal', acknowledgedBy: by }),
    shelve: async (id, { by, oneShot = false, forMs = HOUR_MS }) =>
      setAlarm(id, {
        state: 'shelved',
        shelvedUntilMs: NOW_MS + forMs,
        shelvedOnce: oneShot,
        setAsideBy: by,
      }),
    unshelve: async id => setAlarm(id, { state: 'unacknowledged', shelvedUntilMs: null, setAsideBy: null }),
    async takeOutOfService(vesselId, rule, { by, forMs, why = '' }) {
      vessel(vesselId)
      alarmRows.set('out', anAlarm({ id: 'out', vesselId, rule }))
      const until = forMs === undefined ? {} : { outUntilMs: NOW_MS + forMs }
      return setAlarm('out', { state: 'out-of-service', setAsideBy: by, outWhy: why, ...until })
    },
    async returnToService(vesselId) {
      vessel(vesselId)
      return setAlarm('out', { state: 'normal', setAsideBy: null })
    },
    async suppress(vesselId, { reason, forMs, by }) {
      vessel(vesselId)
      return { reason, by, sinceMs: NOW_MS, untilMs: NOW_MS + forMs }
    },
    async endSuppression(vesselId) {
      vessel(vesselId)
    },
    reminders: () => reminderRows,
    async doneReminder(id) {
      const at = reminderRows.findIndex(each => each.id === id)
      if (at < 0) throw new RoomError(RoomErrorKind.notFound, `Cannot tick off: no reminder has the id ${id}`)
      const [done] = reminderRows.splice(at, 1)
      doneRows.push(done!)
      return done!
    },
    async undoReminder(id) {
      const at = doneRows.findIndex(each => each.id === id)
      if (at < 0)
        throw new RoomError(RoomErrorKind.notFound, `Cannot take back: no reminder has the id ${id}`)
      reminderRows.push(...doneRows.splice(at, 1))
    },
    async changeSettings(change) {
      settings = change
      room.emit({ kind: 'settings', settings })
      return change
    },
    adopt: {
      async vessel(row) {
        const latest = { water: null, 'upper-water': null, room: null, air: null, light: null, level: null }
        put({ row, channels: NO_CHANNELS, latest, batch: null, forecast: null })
      },
      batch: async row => void batchRows.set(row.id, row),
      async event({ json, kind, ...row }) {
        await batch(row.batchId)
        events.push({ ...row, kind, ...JSON.parse(json), estimate: null } as BatchEvent)
      },
      ended: async ({ batch }) => void batchRows.set(batch.id, batch),
    },
  }
  return room
}
