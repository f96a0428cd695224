import { Background, type BackgroundWork } from './background.ts'
import type { Logger } from 'pino'
import type { Clock } from '../clock.ts'
import { correctOrNull } from '../hatch/calibration/correct.ts'
import { AlarmState, Reason, type Alarm } from '../rules/alarm.ts'
import { decodeMemory, resumeMemory } from '../rules/memory.ts'
import type { AssignmentRow, DeviceRow, Store } from '../store/contract.ts'
import type { BatchForecast } from './batch-forecast.ts'
import { type BatchForecastView, type DeviceView } from './views.ts'
import {
  RoomError,
  RoomErrorKind,
  type ProbeCorrection,
  type RoomChange,
  type RoomSettings,
} from './contract.ts'
import { followDeviceList } from './device-list.ts'
import { DeviceLive } from './device-live.ts'
import { rebuildDevelopment } from './development-rebuild.ts'
import { Diagnosing } from './diagnosing/diagnosing.ts'
import type { DiagnosingThread } from './diagnosing/thread.ts'
import { isBroughtIn } from './brought-in-device.ts'
import { ROLES } from './roles.ts'
import { Routes } from './routes.ts'
import { LotBook } from './lot-book.ts'
import { assignFromNow, notAhead } from './set-back.ts'
import { Unkept } from './unkept.ts'
import { loadSettings } from './settings.ts'
import { VesselLive } from './vessel-live.ts'
import { followAgain } from './follow-again.ts'
import { restoreLamps } from './lamps.ts'
import { OutOfService } from './out-of-service.ts'
import { LinesAhead } from './lines-ahead.ts'
import { LooksBack } from './looks-back.ts'
import { Reminding } from './reminding.ts'
import { SYSTEM_KEY } from './system-alarms.ts'
import { SystemWatch } from './watch/system-watch.ts'

/** How many devices the room lists. What further ones send is kept all the same. */
const DEVICES_LISTED = 10_000

/** What the room needs of the store. */
export type RoomStore = Pick<
  Store,
  | 'keepPack'
  | 'latest'
  | 'samples'
  | 'history'
  | 'seal'
  | 'dropReadings'
  | 'keepQuarantine'
  | 'settled'
  | 'keepRuleMemory'
  | 'ruleMemory'
  | 'keepAlarm'
  | 'standingAlarms'
  | 'alarms'
  | 'keepWatch'
  | 'watchLog'
  | 'keepVessel'
  | 'vessels'
  | 'keepAssignment'
  | 'assignments'
  | 'keepBatch'
  | 'discardBatch'
  | 'batches'
  | 'batch'
  | 'lots'
  | 'keepBatchEvent'
  | 'batchEvents'
  | 'keepDocument'
  | 'document'
  | 'devices'
>

export interface RoomParts {
  readonly store: RoomStore
  readonly clock: Clock
  readonly newId: () => string
  readonly logger: Logger
  /** A clock that is never set, ms from any origin; without it nobody is told when `clock` jumps or the disk is slow. */
  readonly monotonicMs?: () => number
  /** How many times faster `clock` runs than it; 1 when left out. */
  readonly clockSpeed?: number
  /** How old a forecast may grow, ms; half a minute when left out. */
  readonly forecastEveryMs?: number
  /** Makes the forecasts instead of the batch's own reckoning: for whoever has made them before. */
  readonly forecastOf?: (development: BatchForecast, nowMs: number, hotC: number) => BatchForecastView
  /** Where diagnoses are made; a thread of its own when left out. */
  readonly diagnosingThread?: DiagnosingThread
}

/** Everything that is true of the fish room now, and who is told of changes. The room's other files act on it. */
export class RoomState {
  readonly parts: RoomParts
  readonly vessels = new Map<string, VesselLive>()
  readonly devices = new Map<string, DeviceLive>()
  readonly standing = new Map<string, Alarm>()
  readonly routes: Routes
  readonly lots = new LotBook()
  readonly system: SystemWatch
  readonly reminding = new Reminding()
  readonly linesAhead = new LinesAhead()
  readonly looksBack = new LooksBack()
  readonly outOfService = new OutOfService()
  readonly diagnosing: Diagnosing
  readonly background: Background
  /** What must be on disk though nobody waits for it. */
  readonly unkept: Unkept
  /** Lines of the log of the watch since the start. */
  linesNoted = 0
  settings: RoomSettings
  /** The latest time that the clock has told, Unix ms. */
  newestNowMs = -Infinity
  /** How a channel is set right when it is put on a vessel: as it was calibrated last, if it was. */
  correctionOf: (device: string, channel: string) => ProbeCorrection | undefined = () => undefined
  /** How often the list of devices was asked for, and which of these answers was taken last. */
  listAsked = 0
  listTaken = 0
  readonly #listeners = new Set<(change: RoomChange) => void>()
  /** Asked at every pack, so remembered; forgotten when an assignment changes. */
  readonly #vesselsOf = new Map<string, VesselLive[]>()

  private constructor(parts: RoomParts, settings: RoomSettings, routes: Routes) {
    this.parts = parts
    this.settings = settings
    this.routes = routes
    this.system = new SystemWatch(parts)
    this.background = new Background(parts.logger)
    this.unkept = new Unkept(parts.logger)
    this.diagnosing = new Diagnosing(parts.diagnosingThread)
  }

  /** The room as the store remembers it. */
  static async load(parts: RoomParts): Promise<RoomState> {
    const { store } = parts
    const assignments = await store.assignments()
    const state = new RoomState(parts, await loadSettings(store), new Routes(assignments))
    await followDeviceList(state)
    for (const row of await store.vessels())
      if (row.retiredAtMs === null) state.vessels.set(row.id, new VesselLive(row))
    for (const row of assignments) if (row.toMs === null) state.place(row)
    state.newestNowMs = parts.clock()
    assignFromNow(state, state.newestNowMs)
    await state.#restoreLatest()
    for (const { vesselId, json } of await store.ruleMemory()) {
      const vessel = state.vessels.get(vesselId)
      if (vessel)
        vessel.memory = vessel.memoryKept = resumeMemory(
          notAhead(decodeMemory(vesselId, json), parts.clock()),
          parts.clock(),
        )
    }
    const heardMs = Math.max(...[...state.devices.values()].map(each => each.lastHeardAtMs ?? -Infinity))
    state.system.restore(await store.document(SYSTEM_KEY), Number.isFinite(heardMs) ? heardMs : null)
    await restoreLamps(state)
    await state.reminding.restore(state)
    await state.outOfService.restore(state)
    await state.#restoreAlarms()
    for (const batch of await store.batches({ open: true })) {
      const vessel = state.vessels.get(batch.vesselId)
      if (vessel) vessel.batch = batch
    }
    for (const vessel of state.vessels.values()) {
      await followAgain(state, vessel, ROLES)
      if (vessel.batch) await rebuildDevelopment(state, vessel)
    }
    return state
  }

  /** An alarm that the rules no longer know of, because their memory could not be read, would stand for ever: it is closed. */
  async #restoreAlarms(): Promise<void> {
    for (const alarm of await this.parts.store.standingAlarms()) {
      const owner = this.vessels.get(alarm.vesselId ?? '')?.memory.rules[alarm.rule].alarm?.id
      if (owner === alarm.id || this.system.owns(alarm))
        this.standing.set(alarm.id, this.outOfService.told(alarm))
      else await this.parts.store.keepAlarm(closedAlarm(alarm, this.parts.clock()))
    }
  }

  async #restoreLatest(): Promise<void> {
    const nowMs = this.parts.clock()
    for (const kept of await this.parts.store.latest()) {
      if (isBroughtIn(kept.device)) continue
      // What a clock wrote that was ahead of this one must not make all that comes now look late.
      const latest = { ...kept, atMs: Math.min(kept.atMs, nowMs) }
      this.device(latest.device, latest.atMs)?.restore(latest)
      const assignment = this.routes.at(latest.device, latest.channel, latest.atMs)
      const vessel = assignment && this.vessels.get(assignment.vesselId)
      if (!vessel || vessel.channels[assignment.role]?.id !== assignment.id) continue
      vessel.latest[assignment.role] = {
        atMs: latest.atMs,
        value: correctOrNull(latest.value, assignment),
        quality: latest.quality,
      }
    }
  }

  /** Puts a current assignment where it belongs. */
  place(row: AssignmentRow): void {
    const vessel = this.vessels.get(row.vesselId)
    vessel?.assign(row.role, row)
    this.#vesselsOf.clear()
  }

  /** Ends a current assignment. */
  displace(row: AssignmentRow): void {
    const vessel = this.vessels.get(row.vesselId)
    if (vessel?.channels[row.role]?.id === row.id) vessel.assign(row.role, null)
    this.#vesselsOf.clear()
  }

  vessel(id: string): VesselLive {
    const vessel = this.vessels.get(id)
    if (!vessel) throw new RoomError(RoomErrorKind.notFound, `Cannot find vessel: no vessel has the id ${id}`)
    return vessel
  }

  /** The device of this name, made known at its first word; `undefined` once the room lists its fill of devices. */
  device(name: string, heardAtMs: number): DeviceLive | undefined {
    const known = this.devices.get(name)
    if (known) return known
    if (this.devices.size >= DEVICES_LISTED) return undefined
    const row: DeviceRow = { name, createdAtMs: heardAtMs, revokedAtMs: null }
    const device = new DeviceLive(row)
    this.devices.set(name, device)
    return device
  }

  deviceView(device: DeviceLive): DeviceView {
    return device.view((name, channel) => this.routes.current(name, channel))
  }

  /** The vessels that a device's channels are assigned to. */
  vesselsOf(device: string): readonly VesselLive[] {
    const known = this.#vesselsOf.get(device)
    if (known) return known
    const vessels = [...this.vessels.values()].filter(vessel =>
      ROLES.some(role => vessel.channels[role]?.device === device),
    )
    this.#vesselsOf.set(device, vessels)
    return vessels
  }

  onChange(listener: (change: RoomChange) => void): () => void {
    this.#listeners.add(listener)
    return () => this.#listeners.delete(listener)
  }

  /** Tells everybody. A listener that throws must not keep the next one, or the reading's way, from going on. */
  tell(change: RoomChange): void {
    for (const listener of this.#listeners) {
      try {
        listener(change)
      } catch (error) {
        this.parts.logger.error({ error, change: change.kind }, 'a listener of the room failed')
      }
    }
  }

  setAlarm(now: Alarm, raised: boolean): void {
    const alarm = this.outOfService.told(now)
    if (alarm.state === AlarmState.normal) this.standing.delete(alarm.id)
    else this.standing.set(alarm.id, alarm)
    this.tell({ kind: 'alarm', alarm, raised })
  }

  /** For work that nobody waits for: see {@link Background}. */
  inBackground(name: string, work: Promise<unknown>, how?: BackgroundWork): void {
    this.background.start(name, work, how)
  }
}

/** The alarm as it ends when nothing watches its vessel any more. */
export function closedAlarm(alarm: Alarm, atMs: number): Alarm {
  return { ...alarm, state: AlarmState.normal, clearedAtMs: atMs, reason: Reason.notWatched }
}
