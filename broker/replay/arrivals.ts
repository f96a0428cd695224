import type { PlacedPack, Reading } from '../intake/reading.ts'
import { UNIT_KEPT } from '../intake/reading.ts'
import { quantityOf, ROLES } from '../room/roles.ts'
import { type Backlog, lineOf } from '../room/watch-log.ts'
import { type AssignmentRow, type Role, type Sample, WatchKind, type WatchRow } from '../store/contract.ts'
import type { Recording } from './recording.ts'

/** When each reading came: as it was measured, or late, as the log of the watch has it. */
export class ArrivalTimes {
  readonly #backlogs = new Map<string, Backlog[]>()

  constructor(log: readonly WatchRow[]) {
    for (const row of log) {
      const backlog = lineOf(row, WatchKind.backlog)
      if (backlog === null || row.vesselId === null) continue
      const key = keyOf(row.vesselId, backlog.role)
      const known = this.#backlogs.get(key)
      if (known) known.push(backlog)
      else this.#backlogs.set(key, [backlog])
    }
  }

  of(vesselId: string, role: Role, atMs: number): number {
    const backlogs = this.#backlogs.get(keyOf(vesselId, role))
    if (backlogs === undefined) return atMs
    const came = backlogs.find(
      ({ fromMs, toMs, receivedAtMs }) => fromMs <= atMs && atMs <= toMs && receivedAtMs > atMs,
    )
    return came?.receivedAtMs ?? atMs
  }
}

const keyOf = (vesselId: string, role: Role) => `${role} ${vesselId}`

interface Arrival {
  readonly receivedAtMs: number
  readonly assignment: AssignmentRow
  readonly sample: Sample
}

/** Reads a recording's readings a stretch at a time and gives them back as packs, in the order in which they came. */
export class Arrivals {
  readonly #recording: Recording
  readonly #times: ArrivalTimes
  /** Measured in a stretch that was read, and come after it. */
  #late: Arrival[] = []

  constructor(recording: Recording, times: ArrivalTimes) {
    this.#recording = recording
    this.#times = times
  }

  /** What came from `fromMs` on and before `toMs`; stretches must follow each other. */
  async next(fromMs: number, toMs: number): Promise<PlacedPack[]> {
    const here: Arrival[] = []
    const late: Arrival[] = []
    const sort = (arrival: Arrival) => (arrival.receivedAtMs < toMs ? here : late).push(arrival)
    this.#late.forEach(sort)
    for (const assignment of this.#recording.assignments) {
      const from = Math.max(fromMs, assignment.fromMs)
      const to = Math.min(toMs, assignment.toMs ?? Infinity)
      if (from >= to) continue
      const { device, channel, vesselId, role } = assignment
      const samples = await this.#recording.samples([{ device, channel, offset: 0, fromMs: from, toMs: to }])
      for (const sample of samples)
        sort({ receivedAtMs: this.#times.of(vesselId, role, sample.atMs), assignment, sample })
    }
    this.#late = late
    return packsOf(here.sort(byArrival))
  }
}

const rank: Readonly<Record<Role, number>> = Object.fromEntries(
  ROLES.map((role, at) => [role, at]),
) as Record<Role, number>

/** A device's readings lie side by side, oldest first, so that they make one pack. */
function byArrival(a: Arrival, b: Arrival): number {
  if (a.receivedAtMs !== b.receivedAtMs) return a.receivedAtMs - b.receivedAtMs
  const [one, other] = [a.assignment, b.assignment]
  if (one.device !== other.device) return one.device < other.device ? -1 : 1
  if (a.sample.atMs !== b.sample.atMs) return a.sample.atMs - b.sample.atMs
  if (one.vesselId !== other.vesselId) return one.vesselId < other.vesselId ? -1 : 1
  return rank[one.role] - rank[other.role]
}

function packsOf(arrivals: readonly Arrival[]): PlacedPack[] {
  const packs: (PlacedPack & { readonly readings: Reading[] })[] = []
  for (const { receivedAtMs, assignment, sample } of arrivals) {
    const { device, channel, role } = assignment
    const last = packs.at(-1)
    const pack =
      last?.device === device && last.receivedAtMs === receivedAtMs
        ? last
        : { device, boot: null, seq: null, receivedAtMs, readings: [] }
    if (pack !== last) packs.push(pack)
    const quantity = quantityOf(role)
    pack.readings.push({ channel, quantity, unit: UNIT_KEPT[quantity], ...sample })
  }
  return packs
}
