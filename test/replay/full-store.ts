import type { Alarm } from '../../broker/rules/alarm.ts'
import { AlarmState } from '../../broker/rules/alarm.ts'
import type { RecordingStore } from '../../broker/replay/read-recording.ts'
import type { RoomStore } from '../../broker/room/state.ts'
import type {
  AssignmentRow,
  BatchEventRow,
  BatchRow,
  LatestRow,
  Sample,
  Store,
  VesselRow,
  WatchRow,
} from '../../broker/store/contract.ts'

/** All that a room keeps, in memory: a store without a disk, for thousands of hours. */
export type FullStore = RoomStore & RecordingStore & Pick<Store, 'records' | 'photo'>

export function fullStore(): FullStore {
  const channels = new Map<string, { device: string; channel: string; unit: string; samples: Sample[] }>()
  const vessels = new Map<string, VesselRow>()
  const assignments = new Map<string, AssignmentRow>()
  const batches = new Map<string, BatchRow>()
  const events = new Map<string, BatchEventRow>()
  const alarms = new Map<string, Alarm>()
  const memories = new Map<string, string>()
  const documents = new Map<string, string>()
  const log: WatchRow[] = []
  const nothing = async () => undefined

  return {
    async keepPack({ device, readings }) {
      for (const { channel, unit, atMs, value, quality } of readings) {
        const key = `${device} ${channel}`
        const one = channels.get(key) ?? { device, channel, unit, samples: [] }
        channels.set(key, one)
        one.samples.push({ atMs, value, quality })
      }
    },
    latest: async () =>
      [...channels.values()].map(({ device, channel, unit, samples }): LatestRow => {
        const newest = samples.reduce((a, b) => (b.atMs >= a.atMs ? b : a))
        return { device, channel, unit, ...newest }
      }),
    samples: async sources =>
      sources.flatMap(({ device, channel, offset, fromMs, toMs }) =>
        (channels.get(`${device} ${channel}`)?.samples ?? [])
          .filter(({ atMs }) => fromMs <= atMs && atMs < toMs)
          .map(sample => ({ ...sample, value: sample.value === null ? null : sample.value + offset }))
          .sort((a, b) => a.atMs - b.atMs),
      ),
    history: async () => ({}),
    seal: nothing,
    dropReadings: async () => 0,
    keepQuarantine: nothing,
    settled: nothing,
    keepRuleMemory: async ({ vesselId, json }) => void memories.set(vesselId, json),
    ruleMemory: async () => [...memories].map(([vesselId, json]) => ({ vesselId, json })),
    keepAlarm: async alarm => void alarms.set(alarm.id, alarm),
    standingAlarms: async () =>
      [...alarms.values()]
        .filter(({ state }) => state !== AlarmState.normal)
        .sort((a, b) => a.raisedAtMs - b.raisedAtMs),
    alarms: async ({ sinceMs = 0, beforeMs = Infinity, limit }) =>
      [...alarms.values()]
        .filter(
          ({ raisedAtMs, state, clearedAtMs, acknowledgedAtMs }) =>
            raisedAtMs < beforeMs &&
            (state !== AlarmState.normal ||
              Math.max(raisedAtMs, clearedAtMs ?? 0, acknowledgedAtMs ?? 0) >= sinceMs),
        )
        .reverse()
        .sort((a, b) => b.raisedAtMs - a.raisedAtMs)
        .slice(0, limit),
    records: async () => [],
    photo: nothing,
    keepWatch: async row => void log.push(row),
    watchLog: async ({ fromMs, toMs, kinds, limit, newest = false }) => {
      const of = log
        .filter(({ atMs, kind }) => fromMs <= atMs && atMs < toMs && (!kinds || kinds.includes(kind)))
        .sort((a, b) => a.atMs - b.atMs)
      return newest ? of.slice(-limit) : of.slice(0, limit)
    },
    keepVessel: async row => void vessels.set(row.id, row),
    vessels: async () => [...vessels.values()],
    keepAssignment: async row => void assignments.set(row.id, row),
    assignments: async () => [...assignments.values()].sort((a, b) => a.fromMs - b.fromMs),
    keepBatch: async row => void batches.set(row.id, row),
    discardBatch: nothing,
    batches: async ({ vesselId, lot, open, limit } = {}) =>
      [...batches.values()]
        .filter(row => vesselId === undefined || row.vesselId === vesselId)
        .filter(row => lot === undefined || row.lot === lot)
        .filter(row => open === undefined || (row.endedAtMs === null) === open)
        .sort((a, b) => b.startedAtMs - a.startedAtMs)
        .slice(0, limit),
    batch: async id => batches.get(id),
    lots: async () => [],
    keepBatchEvent: async row => void events.set(row.id, row),
    batchEvents: async id =>
      [...events.values()].filter(({ batchId }) => batchId === id).sort((a, b) => a.atMs - b.atMs),
    keepDocument: async (key, json) => void documents.set(key, json),
    document: async key => documents.get(key),
    devices: async () => [],
  }
}
