import type { Logger } from 'pino'
import type { Outlet } from '../intake/outlet.ts'
import type { PlacedPack } from '../intake/reading.ts'
import type { Alarm } from '../rules/alarm.ts'
import type { BatchForecast } from '../room/batch-forecast.ts'
import { assignChannels } from '../room/assigning.ts'
import { empty } from '../room/batches.ts'
import type { BatchForecastView } from '../room/views.ts'
import type { RoomSettings } from '../room/contract.ts'
import { rebuildDevelopment } from '../room/development-rebuild.ts'
import { createInflow } from '../room/inflow.ts'
import { judgeEvent } from '../room/judging.ts'
import { learnFromBatch } from '../room/lot-learning.ts'
import { ROLES } from '../room/roles.ts'
import { saveSettings } from '../room/settings.ts'
import { RoomState } from '../room/state.ts'
import { actOnSystemAlarm } from '../room/system-alarms.ts'
import { createUpkeep } from '../room/upkeep.ts'
import { lineOf } from '../room/watch-log.ts'
import { WatchKind } from '../store/contract.ts'
import { ArrivalTimes, Arrivals } from './arrivals.ts'
import { type Happening, happeningsOf } from './happenings.ts'
import { assignmentsAt, recordedStore } from './recorded-store.ts'
import type { Recording } from './recording.ts'

/** How often time alone is let act, as by the running service, ms. */
export const TICK_MS = 1000
/** Readings are asked for a stretch at a time. */
const STRETCH_MS = 3 * 3_600_000
/** Before a start, the service was there until the last that was heard or noted; this far back it is looked for. */
const LAST_SIGN_MS = 6 * 3_600_000
/** After so many steps others get their turn. */
const STEPS_A_TURN = 4000

/** A step of one alarm, as it was told when the room's clock showed `atMs`. */
export interface ReplayedStep {
  readonly atMs: number
  readonly alarm: Alarm
  /** It calls: the raising, a worsening, or a call again. */
  readonly calls: boolean
}

export interface ReplayParts {
  readonly logger: Logger
  /** Lets others have their turn; a rejection ends the replay. */
  readonly breathe: () => Promise<void>
  readonly onStep: (step: ReplayedStep) => void
  /** The room's clock, now and then. */
  readonly onProgress?: (atMs: number) => void
  readonly forecastOf?: (development: BatchForecast, nowMs: number, hotC: number) => BatchForecastView
  readonly forecastEveryMs?: number
  readonly tickMs?: number
}

/**
 * Lives through a recording again: the room itself, on the recording's clock, is fed what came, when it came, and tells its alarms.
 * Nothing is sent or kept. With the settings as they were, the alarms are those that there were.
 */
export async function replay(
  recording: Recording,
  settings: RoomSettings,
  parts: ReplayParts,
): Promise<void> {
  const { fromMs, toMs } = recording
  const { logger, breathe, tickMs = TICK_MS } = parts
  let nowMs = fromMs
  let ids = 0
  const clock = () => nowMs
  const times = new ArrivalTimes(recording.log)
  const store = recordedStore(recording, times, clock)
  await saveSettings(store, settings)
  const open = async () => {
    const { forecastOf, forecastEveryMs } = parts
    const state = await RoomState.load({
      store,
      clock,
      logger,
      newId: () => `replayed-${ids++}`,
      ...(forecastOf && { forecastOf }),
      ...(forecastEveryMs === undefined ? {} : { forecastEveryMs }),
    })
    state.onChange(change => {
      if (change.kind === 'alarm') parts.onStep({ atMs: nowMs, alarm: change.alarm, calls: change.raised })
    })
    return { state, outlet: createInflow(state), tick: createUpkeep(state) }
  }
  const settle = async (state: RoomState) => {
    while ([...state.vessels.values()].some(vessel => vessel.arrivedMeanwhile !== null)) await breathe()
  }

  let room = await open()
  const happenings = happeningsOf(recording)
  const absences = await absencesIn(recording, times, tickMs)
  const arrivals = new Arrivals(recording, times)
  let next = 0
  let tickAtMs = fromMs + tickMs
  let steps = 0
  for (let at = fromMs; at < toMs; at += STRETCH_MS) {
    const untilMs = Math.min(at + STRETCH_MS, toMs)
    const packs = await arrivals.next(at, untilMs)
    for (let pack = 0; ;) {
      const packAtMs = packs[pack]?.receivedAtMs ?? Infinity
      const happening = happenings[next]
      nowMs = Math.min(packAtMs, tickAtMs, happening?.atMs ?? Infinity)
      if (nowMs >= untilMs) break
      if (++steps % STEPS_A_TURN === 0) {
        parts.onProgress?.(nowMs)
        await breathe()
      }
      // What is measured and what time brings come first, then what people do.
      if (packAtMs === nowMs) take(room.outlet, packs[pack++])
      else if (tickAtMs === nowMs) {
        // The start that ends an absence sets the next one.
        if (absences.some(({ sinceMs, untilMs: backMs }) => sinceMs < nowMs && nowMs <= backMs))
          tickAtMs = Infinity
        else {
          room.tick()
          tickAtMs += tickMs
          await settle(room.state)
        }
      } else if (happening) {
        next++
        if (happening.kind === 'began') {
          room = await open()
          tickAtMs = nowMs + tickMs
        } else await happen(room.state, recording, happening)
        await settle(room.state)
      }
    }
  }
  nowMs = toMs
  parts.onProgress?.(toMs)
}

function take(outlet: Outlet, pack: PlacedPack | undefined): void {
  if (pack) outlet.pack(pack, () => undefined)
}

async function happen(
  state: RoomState,
  recording: Recording,
  happening: Exclude<Happening, { kind: 'began' }>,
): Promise<void> {
  const nowMs = state.parts.clock()
  switch (happening.kind) {
    case 'act':
      return act(state, happening)
    case 'started': {
      const vessel = state.vessels.get(happening.batch.vesselId)
      if (!vessel) return
      vessel.batch = { ...happening.batch, endedAtMs: null }
      return rebuildDevelopment(state, vessel)
    }
    case 'ended': {
      const vessel = state.vessels.get(happening.batch.vesselId)
      if (vessel?.batch?.id === happening.batch.id) empty(state, vessel, nowMs)
      return learnFromBatch(state, happening.batch)
    }
    case 'written': {
      const batch = await state.parts.store.batch(happening.batch.id)
      return batch && learnFromBatch(state, batch)
    }
    case 'assigned':
      return assign(state, recording, happening.vesselId, nowMs)
  }
}

function act(state: RoomState, { vesselId, act }: Extract<Happening, { kind: 'act' }>): void {
  if ('onSystem' in act) actOnSystemAlarm(state, act.rule, act.onSystem)
  else {
    const vessel = state.vessels.get(vesselId ?? '')
    if (vessel) judgeEvent(state, vessel, act.onVessel)
  }
}

async function assign(
  state: RoomState,
  recording: Recording,
  vesselId: string,
  nowMs: number,
): Promise<void> {
  if (!state.vessels.has(vesselId)) return
  const rows = assignmentsAt(recording.assignments, nowMs).filter(
    row => row.vesselId === vesselId && row.toMs === null,
  )
  const of = ROLES.map(role => [role, rows.find(row => row.role === role)] as const)
  await assignChannels(state, vesselId, {
    channels: Object.fromEntries(of.map(([role, row]) => [role, row ?? null])),
    offsets: {},
    corrections: Object.fromEntries(of.flatMap(([role, row]) => (row ? [[role, row]] : []))),
  })
}

/**
 * When the service was away: from a tick after the last that was heard or noted before a start, to that start; what it knew then is what
 * it began with again. One that has only just begun, and of which nothing else is known before the next start, had no tick.
 */
async function absencesIn(
  recording: Recording,
  times: ArrivalTimes,
  tickMs: number,
): Promise<{ sinceMs: number; untilMs: number }[]> {
  const absences: { sinceMs: number; untilMs: number }[] = []
  for (const { kind, atMs: untilMs } of recording.log) {
    if (kind !== WatchKind.began || untilMs <= recording.fromMs) continue
    const fromMs = Math.max(untilMs - LAST_SIGN_MS, recording.fromMs)
    let sinceMs = fromMs
    for (const row of recording.log) {
      const noticedAtMs = lineOf(row, WatchKind.alarm)?.noticedAtMs ?? row.atMs
      if (noticedAtMs < untilMs && noticedAtMs > sinceMs) sinceMs = noticedAtMs
    }
    for (const { device, channel, vesselId, role, ...row } of recording.assignments) {
      const span = { fromMs: Math.max(fromMs, row.fromMs), toMs: Math.min(untilMs, row.toMs ?? Infinity) }
      if (span.fromMs >= span.toMs) continue
      for (const { atMs } of await recording.samples([{ device, channel, offset: 0, ...span }])) {
        const cameMs = times.of(vesselId, role, atMs)
        if (cameMs < untilMs && cameMs > sinceMs) sinceMs = cameMs
      }
    }
    const onlyBegan = recording.log.some(row => row.kind === WatchKind.began && row.atMs === sinceMs)
    absences.push({ sinceMs: onlyBegan ? sinceMs : sinceMs + tickMs, untilMs })
  }
  return absences
}
