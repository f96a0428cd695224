import type { Outlet } from '../intake/outlet.ts'
import type { PlacedPack } from '../intake/reading.ts'
import type { Alarm, AlarmState } from '../rules/alarm.ts'
import { type Columns, type Role, WatchKind } from '../store/contract.ts'
import {
  acknowledge,
  endSuppression,
  reset,
  returnToService,
  shelve,
  suppress,
  takeOutOfService,
  unshelve,
} from './alarm-acts.ts'
import { adopting } from './adopting.ts'
import { alarmJournal } from './alarm-journal.ts'
import { assignChannels } from './assigning.ts'
import { refuseMisfits } from './fitting-channel.ts'
import { listEvents, readyEvent, readyWithdrawal, recordEvent, withdrawEvent } from './batch-events.ts'
import { knownSince } from './entered-late.ts'
import { changeBatch, discardBatch, endBatch, findBatch, startBatch } from './batches.ts'
import type { Room } from './contract.ts'
import { hatchLine } from './hatch-line.ts'
import { courseOfBatch, forecastBatch } from './forecasting.ts'
import { createInflow, createJudge, createKeeping } from './inflow.ts'
import { keepMemory } from './judging.ts'
import { followDeviceList, notePairing } from './device-list.ts'
import { listLots } from './lots.ts'
import type { OtherReminders } from './reminding.ts'
import { ROLES } from './roles.ts'
import { noteSettings, settingsThen } from './settings-then.ts'
import { saveSettings } from './settings.ts'
import { RoomState, type RoomParts } from './state.ts'
import type { SystemWatch } from './watch/system-watch.ts'
import { createUpkeep } from './upkeep.ts'
import { changeVessel, createVessel, retireVessel } from './vessels.ts'
import { note } from './watch-log.ts'

/** The live room, where intake pours into, and what is to be called about once a second. */
export interface RunningRoom {
  readonly room: Room
  readonly outlet: Outlet
  /** The same in two halves, for whoever judges readings that others keep. */
  readonly keeping: Outlet
  readonly judge: (pack: PlacedPack) => void
  /** Keeps what the rules remember of every vessel, where it changed; false while something waits that the store would not take. */
  readonly keepMemories: () => boolean
  readonly tick: () => void
  /** Gets ready what takes long when many batches are looked at at once; to be called as often. */
  readonly readyAhead: () => void
  /** Reads the list of devices anew, as it is done every few seconds anyway. */
  readonly followDevices: () => Promise<void>
  /** A code was redeemed for a device. */
  readonly paired: (device: string, atMs: number) => Promise<void>
  /** How a way to a person fares: `null` when it delivers, else why it does not. */
  readonly delivery: (channel: string, failure: string | null) => void
  /** See {@link SystemWatch.ailments}. */
  readonly ailments: () => SystemWatch['ailments']
  /** How the daily backup fares: see {@link SystemWatch.backup}. */
  readonly backup: SystemWatch['backup']
  /** A backup took the place of a damaged database. */
  readonly restored: SystemWatch['restored']
  /** Lets something else ask for things to be done, beside the batches. */
  readonly remindAlso: (others: OtherReminders) => void
  /** How a channel is set right when it is put on a vessel. */
  readonly correctBy: (correctionOf: RoomState['correctionOf']) => void
  /** Resolves once what nobody waits for, and must be kept, is kept: then the store may be closed. */
  readonly settled: () => Promise<void>
}

/** Opens the room as the store remembers it. */
export async function openRoom(parts: RoomParts): Promise<RunningRoom> {
  const state = await RoomState.load(parts)
  note(state, WatchKind.began, {})
  await noteSettings(state, state.parts.store)
  return {
    room: roomOver(state),
    outlet: createInflow(state),
    keeping: createKeeping(state),
    judge: createJudge(state),
    keepMemories() {
      for (const vessel of state.vessels.values()) keepMemory(state, vessel)
      return state.unkept.size === 0
    },
    tick: createUpkeep(state),
    readyAhead: () => state.linesAhead.look(state),
    followDevices: () => followDeviceList(state),
    paired: (device, atMs) => notePairing(state, device, atMs),
    delivery: (channel, failure) => state.system.delivery(channel, failure),
    ailments: () => state.system.ailments,
    backup: overdue => state.system.backup(overdue),
    restored: what => state.system.restored(what),
    remindAlso: others => state.reminding.also(others),
    correctBy: correctionOf => {
      state.correctionOf = correctionOf
    },
    settled: () => state.background.settled(),
  }
}

function roomOver(state: RoomState): Room {
  const { store, clock } = state.parts
  return {
    snapshot: () => ({
      nowMs: clock(),
      vessels: [...state.vessels.values()].map(vessel => vessel.view()),
      devices: [...state.devices.values()].map(device => state.deviceView(device)),
      alarms: standing(state, {}),
      settings: state.settings,
      reminders: state.reminding.due,
    }),
    vessel: id => state.vessel(id).view(),
    onChange: listener => state.onChange(listener),

    createVessel: input => createVessel(state, input),
    changeVessel: (id, change) => changeVessel(state, id, change),
    retireVessel: id => retireVessel(state, id),
    assignChannels: async (id, change) => {
      refuseMisfits(state.vessel(id), change)
      return assignChannels(state, id, change)
    },

    startBatch: input => startBatch(state, input),
    endBatch: (id, input) => endBatch(state, id, input),
    batch: id => findBatch(state, id),
    batches: query => store.batches(query),
    changeBatch: (id, change) => changeBatch(state, id, change),
    discardBatch: id => discardBatch(state, id),
    forecast: id => forecastBatch(state, id),
    course: (id, query) => courseOfBatch(state, id, query),
    lookBack: (id, query) => state.looksBack.of(state, id, query),
    hatchLine: (id, query) => hatchLine(state, id, query),
    diagnosis: id => state.diagnosing.of(state, id),
    recordEvent: (id, input) => recordEvent(state, id, input),
    readyEvent: (id, input) => readyEvent(state, id, input),
    readyWithdrawal: (id, eventId) => readyWithdrawal(state, id, eventId),
    withdrawEvent: (id, eventId) => withdrawEvent(state, id, eventId),
    batchEvents: id => listEvents(state, id),
    batchKnownSince: async id => knownSince(state.parts.store, await findBatch(state, id)),
    lots: () => listLots(state),

    readings: (vesselId, query) => readings(state, vesselId, query),

    alarms: query => (query.standing ? Promise.resolve(standing(state, query)) : past(state, query)),
    journal: query => alarmJournal(state, query),
    acknowledge: (id, by) => acknowledge(state, id, by),
    resetAlarm: (id, by) => reset(state, id, by),
    shelve: (id, input) => shelve(state, id, input),
    unshelve: (id, by) => unshelve(state, id, by),
    takeOutOfService: (id, rule, input) => takeOutOfService(state, id, rule, input),
    returnToService: (id, rule, by) => returnToService(state, id, rule, by),
    suppress: (id, input) => suppress(state, id, input),
    endSuppression: (id, by) => endSuppression(state, id, by),

    reminders: () => state.reminding.due,
    doneReminder: (id, by) => state.reminding.done(state, id, by),
    undoReminder: id => state.reminding.undone(state, id),

    everyVessel: () => store.vessels(),
    settingsThen: span => settingsThen(state, span),
    async changeSettings(settings) {
      await saveSettings(store, settings)
      state.settings = settings
      note(state, WatchKind.settings, { altitudeM: settings.altitudeM, rules: settings.rules })
      state.tell({ kind: 'settings', settings })
      return settings
    },

    adopt: adopting(state),
  }
}

type AlarmQuery = { vesselId?: string; states?: readonly AlarmState[]; limit?: number }

function standing(state: RoomState, { vesselId, states, limit }: AlarmQuery): Alarm[] {
  return [...state.standing.values()]
    .filter(alarm => vesselId === undefined || alarm.vesselId === vesselId)
    .filter(alarm => states === undefined || states.includes(alarm.state))
    .sort((a, b) => a.raisedAtMs - b.raisedAtMs)
    .slice(0, limit)
}

async function past(state: RoomState, { vesselId, states, limit = 100 }: AlarmQuery): Promise<Alarm[]> {
  // What was decided in this turn is on its way to the store: wait, so that nobody reads an alarm as it no longer is.
  await state.parts.store.settled()
  const alarms = await state.parts.store.alarms({ limit, ...(vesselId === undefined ? {} : { vesselId }) })
  return states === undefined ? alarms : alarms.filter(alarm => states.includes(alarm.state))
}

async function readings(
  state: RoomState,
  vesselId: string,
  { roles = ROLES, ...query }: Parameters<Room['readings']>[1],
): Promise<Partial<Record<Role, Columns>>> {
  // What a vessel measured that was taken out of the room since is there as long as its assignments are.
  if (state.routes.of(vesselId).length === 0) state.vessel(vesselId)
  const channels = Object.fromEntries(
    roles
      .map(role => [role, state.routes.sources(vesselId, role, query.fromMs, query.toMs)] as const)
      .filter(([, sources]) => sources.length > 0),
  )
  return state.parts.store.history({ channels, ...query })
}
