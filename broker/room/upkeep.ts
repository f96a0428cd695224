import { heatLimit } from '../rules/heat-limit.ts'
import { hasNauplii } from '../rules/nauplii.ts'
import { returnWhatIsOver } from './alarm-acts.ts'
import { followDeviceList } from './device-list.ts'
import { judgeEvent, keepMemory, settleCauses } from './judging.ts'
import { rebuildDevelopment, refreshForecast } from './development-rebuild.ts'
import { keepLamps } from './lamps.ts'
import { ROLES } from './roles.ts'
import { noticeSetBack } from './set-back.ts'
import type { RoomState } from './state.ts'
import { lookAtSystem } from './system-alarms.ts'
import { WatchKind } from '../store/contract.ts'
import type { VesselLive } from './vessel-live.ts'
import { note } from './watch-log.ts'

/** How old a forecast may grow. */
const FORECAST_EVERY_MS = 30_000
/** How often old readings are looked for. */
const RETENTION_EVERY_MS = 6 * 3_600_000
/** How often the list of devices is read, in calls. */
const DEVICES_EVERY = 3
const DAY_MS = 86_400_000

/** What time alone brings about: delays that end, devices that fell silent, forecasts that aged. Called about once a second. */
export function createUpkeep(state: RoomState): () => void {
  let retentionAtMs: number | null = null
  let calls = 0
  return () => {
    const nowMs = state.parts.clock()
    noticeSetBack(state, nowMs)
    // First, so that what befell several at once is told before it is told of each.
    lookAtSystem(state)
    noteNauplii(state)
    returnWhatIsOver(state, nowMs)
    for (const vessel of state.vessels.values()) lookAfter(state, vessel, nowMs)
    settleCauses(state, nowMs)
    keepLamps(state)
    void state.unkept.retry()
    state.reminding.look(state, nowMs)
    if (++calls % DEVICES_EVERY === 0)
      state.inBackground('reading the list of devices', followDeviceList(state), { doneAnew: true })
    for (const device of state.devices.values()) {
      if (!device.changed) continue
      device.changed = false
      state.tell({ kind: 'device', device: state.deviceView(device) })
    }
    if (retentionAtMs === null || Math.abs(nowMs - retentionAtMs) >= RETENTION_EVERY_MS) {
      retentionAtMs = nowMs
      state.inBackground('dropping old readings', dropOldReadings(state, nowMs), { doneAnew: true })
    }
  }
}

/** What takes the air of several vessels is told of one with nauplii first: the others wait for it. */
function noteNauplii({ vessels: all, settings: { altitudeM } }: RoomState): void {
  const vessels = [...all.values()]
  const hatched = vessels.filter(
    vessel => vessel.channels.air !== null && hasNauplii(vessel.facts(altitudeM)),
  )
  for (const vessel of vessels) vessel.naupliiElsewhere = hatched.some(other => other !== vessel)
}

function lookAfter(state: RoomState, vessel: VesselLive, nowMs: number): void {
  const { altitudeM, rules } = state.settings
  const { limitC } = heatLimit(rules['water-too-hot'], vessel.facts(altitudeM))
  vessel.look(limitC, nowMs, limitC - rules['water-too-hot'].deadband)
  judgeEvent(state, vessel, { kind: 'tick', atMs: nowMs })
  keepMemory(state, vessel)
  if (vessel.backfilled) {
    state.diagnosing.pastChanged(vessel.row.id)
    state.tell({ kind: 'backfilled', vesselId: vessel.row.id, ...vessel.backfilled })
    state.tell({ kind: 'vessel', vessel: vessel.view() })
    vessel.backfilled = null
    vessel.forecastAtMs = 0
  }
  for (const backlog of vessel.backlogs.values())
    note(state, WatchKind.backlog, backlog, { vesselId: vessel.row.id })
  vessel.backlogs.clear()
  if (!vessel.batch || vessel.arrivedMeanwhile) return
  if (vessel.outOfOrder)
    state.inBackground('reading the water anew', rebuildDevelopment(state, vessel), { doneAnew: true })
  else if (nowMs - vessel.forecastAtMs >= (state.parts.forecastEveryMs ?? FORECAST_EVERY_MS))
    refreshForecast(state, vessel, nowMs)
}

/** Drops readings past their age, except what belongs to open batches. */
async function dropOldReadings(state: RoomState, nowMs: number): Promise<void> {
  const keep = [...state.vessels.values()].flatMap(vessel =>
    vessel.batch
      ? ROLES.flatMap(role =>
          state.routes.sources(
            vessel.row.id,
            role,
            vessel.batch?.startedAtMs ?? nowMs,
            Number.MAX_SAFE_INTEGER,
          ),
        )
      : [],
  )
  const dropped = await state.parts.store.dropReadings(nowMs - state.settings.retentionDays * DAY_MS, keep)
  if (dropped > 0) state.parts.logger.info({ dropped }, 'dropped readings past their age')
}
