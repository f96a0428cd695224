import type { Alarm } from '../rules/alarm.ts'
import { AlarmState } from '../rules/alarm.ts'
import { LAMPS_KEY } from '../room/lamps.ts'
import type { RoomStore } from '../room/state.ts'
import type { AssignmentRow, BatchRow, BatchSelection, LatestRow, Sample, Source } from '../store/contract.ts'
import type { ArrivalTimes } from './arrivals.ts'
import type { Recording } from './recording.ts'

/** A channel's newest sample is looked for so far back. */
const LATEST_WITHIN_MS = 24 * 3_600_000

/**
 * What the store knew at each moment of a recording: nothing of what had not come yet. It remembers what the room keeps of its
 * own, the rules' memory and the standing alarms, so that a start within the recording goes on from there.
 */
export function recordedStore(recording: Recording, arrivals: ArrivalTimes, clock: () => number): RoomStore {
  const documents = new Map(recording.documents)
  documents.set(LAMPS_KEY, JSON.stringify(recording.lamps))
  const memories = new Map<string, string>()
  const standing = new Map<string, Alarm>()
  const nothing = () => Promise.resolve()

  return {
    keepPack: nothing,
    latest: () => latestAt(recording, arrivals, clock()),
    async samples(sources) {
      const nowMs = clock()
      const all: Sample[] = []
      for (const source of sources) {
        const toMs = Math.min(source.toMs, nowMs + 1)
        if (source.fromMs >= toMs) continue
        const owner = ownerOf(recording.assignments, source)
        for (const sample of await recording.samples([{ ...source, toMs }]))
          if (!owner || arrivals.of(owner.vesselId, owner.role, sample.atMs) <= nowMs) all.push(sample)
      }
      return all
    },
    history: async () => ({}),
    seal: nothing,
    dropReadings: async () => 0,
    keepQuarantine: nothing,
    settled: nothing,

    async keepRuleMemory({ vesselId, json }) {
      memories.set(vesselId, json)
    },
    ruleMemory: async () => [...memories].map(([vesselId, json]) => ({ vesselId, json })),
    async keepAlarm(alarm) {
      if (alarm.state === AlarmState.normal) standing.delete(alarm.id)
      else standing.set(alarm.id, alarm)
    },
    standingAlarms: async () => [...standing.values()],
    alarms: async () => [],
    keepWatch: nothing,
    watchLog: async () => [],

    keepVessel: nothing,
    vessels: async () => recording.vessels.map(row => ({ ...row, retiredAtMs: null })),
    keepAssignment: nothing,
    assignments: async () => assignmentsAt(recording.assignments, clock()),
    keepBatch: nothing,
    discardBatch: nothing,
    batches: async query => batchesAt(recording.batches, clock(), query),
    batch: async id => batchesAt(recording.batches, clock()).find(row => row.id === id),
    lots: async () => [],
    keepBatchEvent: nothing,
    async batchEvents(batchId) {
      const nowMs = clock()
      return (recording.events.get(batchId) ?? [])
        .filter(({ recordedAtMs }) => recordedAtMs <= nowMs)
        .map(row => ({
          ...row,
          withdrawnAtMs: row.withdrawnAtMs !== null && row.withdrawnAtMs <= nowMs ? row.withdrawnAtMs : null,
        }))
    },
    async keepDocument(key, json) {
      documents.set(key, json)
    },
    document: async key => documents.get(key),
    devices: async () => [],
  }
}

/** The assignments as they stood at a moment: one that was closed later was open then. */
export function assignmentsAt(rows: readonly AssignmentRow[], nowMs: number): AssignmentRow[] {
  return rows
    .filter(({ fromMs }) => fromMs <= nowMs)
    .map(row => (row.toMs !== null && row.toMs > nowMs ? { ...row, toMs: null } : row))
}

/** The batches as they stood at a moment, newest first. */
function batchesAt(rows: readonly BatchRow[], nowMs: number, query: BatchSelection = {}): BatchRow[] {
  const { vesselId, lot, open, limit } = query
  return rows
    .filter(({ startedAtMs }) => startedAtMs <= nowMs)
    .map(row => (row.endedAtMs !== null && row.endedAtMs > nowMs ? { ...row, endedAtMs: null } : row))
    .filter(row => vesselId === undefined || row.vesselId === vesselId)
    .filter(row => lot === undefined || row.lot === lot)
    .filter(row => open === undefined || (row.endedAtMs === null) === open)
    .slice(0, limit)
}

function ownerOf(rows: readonly AssignmentRow[], { device, channel, fromMs }: Source) {
  const its = rows.filter(row => row.device === device && row.channel === channel)
  return its.find(row => row.fromMs <= fromMs && fromMs < (row.toMs ?? Infinity)) ?? its[0]
}

/** The newest of each channel that had come by then; asked at a start only, so it is looked for and not followed. */
async function latestAt(
  { assignments, samples }: Recording,
  arrivals: ArrivalTimes,
  nowMs: number,
): Promise<LatestRow[]> {
  const newest: LatestRow[] = []
  for (const { device, channel, vesselId, role, fromMs } of assignmentsAt(assignments, nowMs)) {
    const span = { fromMs: Math.max(fromMs, nowMs - LATEST_WITHIN_MS), toMs: nowMs + 1 }
    const came = (await samples([{ device, channel, offset: 0, ...span }])).filter(
      ({ atMs }) => arrivals.of(vesselId, role, atMs) <= nowMs,
    )
    const last = came.at(-1)
    if (last) newest.push({ device, channel, unit: '', ...last })
  }
  return newest
}
