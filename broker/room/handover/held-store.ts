import { type Columnar, slice } from '../../store/codec/columns.ts'
import { isMissing, qualityOf } from '../../store/codec/mark.ts'
import type { PhotoRow } from '../../store/books-contract.ts'
import type {
  AlarmSelection,
  AssignmentRow,
  BatchEventRow,
  BatchRow,
  BatchSelection,
  Sample,
  Source,
  WatchRow,
} from '../../store/contract.ts'
import { correct } from '../../hatch/calibration/correct.ts'
import { DownSampler } from '../../store/history/down-sampler.ts'
import type { Alarm } from '../../rules/alarm.ts'
import { evidenceKey } from '../lot-book.ts'
import { defaultSettings, saveSettings } from '../settings.ts'
import type { RoomStore } from '../state.ts'
import { type Channel, columnsOf } from './columns.ts'
import type { HandedOver } from './format.ts'
import { alarmsOf, assignmentsOf, batchOf, eventRowsOf, watchRowsOf } from './rows.ts'

/** A store that holds what one file says, and nothing else. What a room over it would keep is forgotten. */
export interface HeldStore extends RoomStore {
  /** How many readings it holds. */
  readonly readings: number
  readonly photoIds: readonly string[]
  photo(id: string): Promise<PhotoRow | undefined>
  records(kind: string): Promise<[]>
}

export async function heldStore(file: HandedOver): Promise<HeldStore> {
  const batch = batchOf(file)
  const batches: readonly BatchRow[] = [batch, ...earlier(file, batch)]
  const events: readonly BatchEventRow[] = eventRowsOf(file)
  const assignments: readonly AssignmentRow[] = assignmentsOf(file)
  const alarms: readonly Alarm[] = [...alarmsOf(file)].sort((a, b) => b.raisedAtMs - a.raisedAtMs)
  const watch: readonly WatchRow[] = watchRowsOf(file)
  const readings = readingsOf(file.channels)
  const documents = new Map<string, string>()
  for (const [at, evidence] of file.lotBefore.entries())
    documents.set(evidenceKey({ id: `before-${at}` }), JSON.stringify(evidence))
  // Of what follows nothing may hold on to the file: its readings stand in columns now, and weigh less.
  const { vessel, photos, settings: inForce } = file
  const nothing = async () => undefined
  const none = async (): Promise<[]> => []

  const store: HeldStore = {
    readings: [...readings.values()].flat().reduce((sum, { at }) => sum + at.length, 0),
    photoIds: photos.map(({ id }) => id),
    latest: none,
    async samples(sources) {
      return sources.flatMap(source => samplesOf(readings, source))
    },
    async history({ channels, fromMs, toMs, points }) {
      return Object.fromEntries(
        Object.entries(channels).map(([name, sources]) => {
          const sampler = new DownSampler(fromMs, toMs, points)
          for (const source of sources)
            for (const part of readings.get(keyOf(source)) ?? [])
              sampler.add(part, source, Math.max(fromMs, source.fromMs), Math.min(toMs, source.toMs))
          return [name, sampler.columns()]
        }),
      )
    },
    async alarms({
      sinceMs = 0,
      beforeMs = Infinity,
      vesselId,
      rule,
      priority,
      skip = 0,
      limit,
    }: AlarmSelection) {
      return alarms
        .filter(one => one.raisedAtMs < beforeMs && (endOf(one) ?? Infinity) >= sinceMs)
        .filter(one => vesselId === undefined || one.vesselId === vesselId)
        .filter(one => rule === undefined || one.rule === rule)
        .filter(one => priority === undefined || one.priority === priority)
        .slice(skip, skip + limit)
    },
    // Those that stood when the file was written are shown as they were, and judged by nobody.
    standingAlarms: none,
    async watchLog({ fromMs, toMs, kinds, limit, newest = false }) {
      const rows = watch
        .filter(({ atMs, kind }) => fromMs <= atMs && atMs < toMs && (!kinds || kinds.includes(kind)))
        .sort((a, b) => a.atMs - b.atMs)
      return newest ? rows.slice(-limit) : rows.slice(0, limit)
    },
    vessels: async () => [{ ...vessel, createdAtMs: batch.startedAtMs, retiredAtMs: null }],
    assignments: async () => [...assignments],
    batches: async query => selected(batches, query),
    batch: async id => batches.find(row => row.id === id),
    batchEvents: async id => events.filter(({ batchId }) => batchId === id),
    lots: none,
    devices: none,
    ruleMemory: none,
    records: none,
    document: async key => documents.get(key),
    async keepDocument(key, json) {
      documents.set(key, json)
    },
    async photo(id) {
      const found = photos.find(photo => photo.id === id)
      if (!found) return undefined
      const { media, createdAtMs, base64 } = found
      return {
        id,
        batchId: batch.id,
        media,
        createdAtMs,
        body: new Uint8Array(Buffer.from(base64, 'base64')),
      }
    },

    keepPack: nothing,
    seal: nothing,
    dropReadings: async () => 0,
    keepQuarantine: nothing,
    settled: nothing,
    keepRuleMemory: nothing,
    keepAlarm: nothing,
    keepWatch: nothing,
    keepVessel: nothing,
    keepAssignment: nothing,
    keepBatch: nothing,
    discardBatch: nothing,
    keepBatchEvent: nothing,
  }
  const { altitudeM, rules } = inForce
  const settings = { ...defaultSettings, altitudeM, rules: { ...defaultSettings.rules, ...rules } }
  await saveSettings(store, settings as typeof defaultSettings)
  return store
}

/** Until when an alarm counts as one of a span: as the store has it, until it was over and back to normal. */
function endOf({ state, raisedAtMs, clearedAtMs, acknowledgedAtMs }: Alarm): number | null {
  return state === 'normal' ? Math.max(raisedAtMs, clearedAtMs ?? 0, acknowledgedAtMs ?? 0) : null
}

/** Of the lot's earlier batches what they showed is known, and when they began. */
function earlier({ lotBefore }: HandedOver, { lot }: BatchRow): BatchRow[] {
  return lotBefore
    .map(({ startedAtMs, litres, cystsG }, at) => ({
      id: `before-${at}`,
      vesselId: 'elsewhere',
      startedAtMs,
      endedAtMs: startedAtMs + 1,
      litres,
      cystsG,
      salinityGpl: 0,
      lot,
      goal: 'balanced' as const,
      note: null,
    }))
    .reverse()
}

function selected(rows: readonly BatchRow[], query: BatchSelection = {}): BatchRow[] {
  const { vesselId, lot, open, limit } = query
  return rows
    .filter(row => vesselId === undefined || row.vesselId === vesselId)
    .filter(row => lot === undefined || row.lot === lot)
    .filter(row => open === undefined || (row.endedAtMs === null) === open)
    .slice(0, limit)
}

const keyOf = ({ device, channel }: { readonly device: string; readonly channel: string }) =>
  `${device}\n${channel}`

function readingsOf(channels: readonly Channel[]): Map<string, Columnar[]> {
  const all = new Map<string, Columnar[]>()
  for (const channel of channels) {
    const key = keyOf(channel)
    all.set(key, [...(all.get(key) ?? []), columnsOf(channel)])
  }
  return all
}

function samplesOf(readings: ReadonlyMap<string, readonly Columnar[]>, source: Source): Sample[] {
  const samples: Sample[] = []
  for (const columns of readings.get(keyOf(source)) ?? []) {
    const from = firstNotBefore(columns.at, source.fromMs)
    const { at, value, mark } = slice(columns, from, firstNotBefore(columns.at, source.toMs))
    for (let i = 0; i < at.length; i++) {
      const measured = isMissing(mark[i]!) ? null : correct(value[i]!, source)
      samples.push({ atMs: at[i]!, value: measured, quality: qualityOf(mark[i]!) })
    }
  }
  return samples
}

function firstNotBefore(at: Float64Array, ms: number): number {
  const found = at.findIndex(each => each >= ms)
  return found === -1 ? at.length : found
}
