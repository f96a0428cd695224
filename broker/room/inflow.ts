import { correctOrNull } from '../hatch/calibration/correct.ts'
import type { Kept, Outlet } from '../intake/outlet.ts'
import type { PlacedPack, Reading } from '../intake/reading.ts'
import { type AssignmentRow, Role, type Sample } from '../store/contract.ts'
import { judgeEvent } from './judging.ts'
import { holdingAt } from './routes.ts'
import { noticeSetBack } from './set-back.ts'
import type { RoomState } from './state.ts'
import { BACKLOG_MS, type VesselLive } from './vessel-live.ts'

/** What intake pours into: readings are judged at once and then kept. */
export function createInflow(state: RoomState): Outlet {
  const keeping = createKeeping(state)
  const judge = createJudge(state)
  return {
    ...keeping,
    pack(pack, kept) {
      judge(pack)
      keeping.pack(pack, kept)
    },
  }
}

/** Judges readings without keeping them. */
export function createJudge(state: RoomState): (pack: PlacedPack) => void {
  return pack => {
    try {
      noticeSetBack(state, state.parts.clock())
      takeIn(state, pack)
    } catch (error) {
      // A mistake of ours in judging must cost neither the reading nor the connection.
      state.parts.logger.error(
        { error, device: pack.device },
        'a pack could not be judged; it is kept all the same',
      )
    }
  }
}

/** Keeps readings without judging them: they are judged as they come back from the store. */
export function createKeeping(state: RoomState): Outlet {
  const { store } = state.parts
  const tellTogether = createTelling(work => state.system.keeping(work))
  return {
    pack: (pack, kept) => tellTogether(store.keepPack(pack), kept),
    quarantine: (entry, kept) => tellWhenKept(store.keepQuarantine(entry), kept),
    settled: kept => tellWhenKept(store.settled(), kept),
    report(report) {
      const device = state.device(report.device, report.receivedAtMs)
      if (!device) return
      device.describe(report)
      if (report.online) heard(state, report.device, report.receivedAtMs)
    },
  }
}

/** Packs that are kept together share one promise: one reaction tells all who wait, in their order. */
function createTelling(onCommit: (work: Promise<void>) => void): (work: Promise<void>, kept: Kept) => void {
  let shared: Promise<void> | null = null
  let waiting: Kept[] = []
  return (work, kept) => {
    if (work !== shared) {
      shared = work
      onCommit(work)
      const those: Kept[] = (waiting = [])
      tellWhenKept(work, error => {
        for (const each of those) each(error)
      })
    }
    waiting.push(kept)
  }
}

function tellWhenKept(work: Promise<void>, kept: Kept): void {
  work.then(
    () => kept(null),
    (error: unknown) => kept(error instanceof Error ? error : new Error(String(error))),
  )
}

function takeIn(state: RoomState, pack: PlacedPack): void {
  const device = state.device(pack.device, pack.receivedAtMs)
  const isNew = device?.hear(pack) ?? false
  heard(state, pack.device, pack.receivedAtMs)
  const assignments = state.routes.ofDevice(pack.device)
  if (assignments) {
    for (const reading of pack.readings) {
      const rows = assignments.get(reading.channel)
      if (rows) route(state, pack, reading, holdingAt(rows, reading.atMs))
    }
  }
  if (device && isNew) {
    device.changed = false
    state.tell({ kind: 'device', device: state.deviceView(device) })
  }
}

function heard(state: RoomState, device: string, atMs: number): void {
  for (const vessel of state.vesselsOf(device)) judgeEvent(state, vessel, { kind: 'heard', atMs })
}

function route(
  state: RoomState,
  pack: PlacedPack,
  reading: Reading,
  assignment: AssignmentRow | undefined,
): void {
  const vessel = assignment && state.vessels.get(assignment.vesselId)
  if (!vessel) return
  const sample: Sample = {
    atMs: reading.atMs,
    value: correctOrNull(reading.value, assignment),
    quality: reading.quality,
  }
  const { role } = assignment
  const newest = vessel.latest[role]
  // What an earlier assignment still brings belongs into the past, even while the present one has brought nothing yet.
  const isCurrent = vessel.channels[role]?.id === assignment.id
  const late = !isCurrent || (newest !== null && sample.atMs < newest.atMs)
  if (!late) vessel.latest[role] = sample
  if (!late) vessel.follow(role, sample, state.settings.rules)
  if (role === Role.water) develop(vessel, sample, late)
  // The reading is told before the alarm it may raise, so that whoever hears the alarm sees the value.
  vessel.noteLate(role, sample.atMs, pack.receivedAtMs)
  if (late || pack.receivedAtMs - sample.atMs > BACKLOG_MS) vessel.noteBackfill(sample.atMs)
  else state.tell({ kind: 'reading', vesselId: vessel.row.id, role, sample, late })
  if (late || role === Role.room || role === Role.upperWater) return
  const { atMs, value, quality } = sample
  judgeEvent(state, vessel, { kind: 'reading', role, value, quality, atMs })
}

function develop(vessel: VesselLive, sample: Sample, late: boolean): void {
  if (!vessel.batch) return
  if (late) vessel.outOfOrder = true
  else if (vessel.development) {
    const { measured } = vessel.development
    vessel.development.take(sample)
    // The first reading takes the place of what was only planned: nobody should wait for that.
    if (!measured && vessel.development.measured) vessel.forecastAtMs = 0
  }
  vessel.arrivedMeanwhile?.push(sample)
}
