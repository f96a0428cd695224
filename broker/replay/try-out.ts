import type { Logger } from 'pino'
import type { RoomSettings } from '../room/contract.ts'
import type { BatchRow } from '../store/contract.ts'
import { compare } from './compare.ts'
import {
  MOST_BATCHES,
  type Occurrence,
  type PendingBatch,
  type TriedBatch,
  type TryOutAsk,
  Untried,
} from './contract.ts'
import { ForecastMemory } from './forecast-memory.ts'
import { Occurrences } from './occurrences.ts'
import { readRecording, type RecordingStore } from './read-recording.ts'
import type { Recording } from './recording.ts'
import { replay } from './replay.ts'
import { LONGEST_BATCH_MS, type Stretch, stretchesOf } from './stretches.ts'

/** What came of earlier runs with the same settings is remembered of so many stretches. */
const MOST_RUNS = 60
/**
 * What is still going on is lived through up to the moment of a try-out; further ones within so long go no farther, so that the next
 * move of a slider finds most of it done already, ms.
 */
const SAME_END_MS = 2 * 60_000
/** A batch younger than this need not have readings yet, ms. */
const YOUNG_MS = 10 * 60_000

/** Of those that are going on, so many of the newest: half the places stay for those that ended. */
const MOST_OPEN = MOST_BATCHES / 2

export interface TryOutParts {
  readonly store: RecordingStore
  readonly logger: Logger
  /** Lets others have their turn; a rejection ends the try-out. */
  readonly breathe: () => Promise<void>
  /** How often the room looks after itself and makes its forecasts, ms; as the running service when left out. */
  readonly tickMs?: number
  readonly forecastEveryMs?: number
}

export interface TryOutEvents {
  readonly onTotal: (batches: number) => void
  /** `share`: 0 to 1. `pending`: asked for, what is still to be done and how far each is. */
  readonly onProgress: (share: number, pending: () => readonly PendingBatch[]) => void
  readonly onBatch: (batch: TriedBatch) => void
}

/** Tries settings out on recorded batches: the room lives through them with the settings as they are and as they might be. */
export class TryOuts {
  readonly #parts: TryOutParts
  readonly #forecasts = new ForecastMemory()
  readonly #runs = new Map<string, Occurrences>()
  /** Up to when what is going on was lived through last, Unix ms. */
  #endMs = -Infinity

  constructor(parts: TryOutParts) {
    this.#parts = parts
  }

  async run(ask: TryOutAsk, events: TryOutEvents): Promise<void> {
    const batches = await this.#batchesOf(ask)
    events.onTotal(batches.length)
    if (ask.nowMs < this.#endMs || ask.nowMs - this.#endMs >= SAME_END_MS) this.#endMs = ask.nowMs
    const nowMs = this.#endMs
    const short = batches.filter(batch => isShort(batch, nowMs))
    for (const batch of batches)
      if (!short.includes(batch))
        events.onBatch(untried(batch, nowMs, batch.startedAtMs < nowMs ? Untried.tooLong : Untried.notYet))
    const stretches = stretchesOf(short, nowMs)
    const proposed = { ...ask.settings, rules: ask.proposed }
    // With nothing changed one life is both.
    const lives = JSON.stringify(ask.proposed) === JSON.stringify(ask.settings.rules) ? 1 : 2
    const wholeMs = lives * stretches.reduce((sum, { fromMs, toMs }) => sum + toMs - fromMs, 0)
    let doneMs = 0
    const pending = (at: number, life: number, atMs: number) => (): PendingBatch[] =>
      stretches.slice(at).flatMap(({ batches }, n) =>
        batches.map(({ id: batchId, vesselId, startedAtMs, endedAtMs }) => {
          const share = (atMs - startedAtMs) / ((endedAtMs ?? nowMs) - startedAtMs)
          const progress = n === 0 ? (life + Math.min(1, Math.max(0, share))) / lives : 0
          return { batchId, vesselId, startedAtMs, progress }
        }),
      )
    for (const [n, stretch] of stretches.entries()) {
      events.onProgress(doneMs / wholeMs, pending(n, 0, stretch.fromMs))
      const recording = await readRecording(this.#parts.store, stretch)
      const found: Occurrences[] = []
      for (const [life, settings] of [ask.settings, proposed].slice(0, lives).entries()) {
        const beganMs = doneMs
        const at = (atMs: number) =>
          events.onProgress((beganMs + atMs - stretch.fromMs) / wholeMs, pending(n, life, atMs))
        found.push(await this.#lived(recording, stretch, settings, at))
        doneMs += stretch.toMs - stretch.fromMs
        events.onProgress(doneMs / wholeMs, pending(n, life, stretch.toMs))
      }
      const [now, then = now] = found
      if (!now || !then) continue
      for (const batch of stretch.batches) events.onBatch(await tried(batch, nowMs, recording, [now, then]))
    }
  }

  async #batchesOf({ batchIds, newest }: TryOutAsk): Promise<BatchRow[]> {
    const { store } = this.#parts
    if (batchIds === undefined) {
      // What is going on now is what a limit is changed for; those that ended say how it would have gone.
      const open = await store.batches({ open: true, limit: MOST_OPEN })
      const ended = await store.batches({ open: false, limit: Math.min(newest, MOST_BATCHES - open.length) })
      return [...open, ...ended].sort((a, b) => b.startedAtMs - a.startedAtMs)
    }
    const wanted = new Set(batchIds)
    return (await store.batches()).filter(({ id }) => wanted.has(id))
  }

  async #lived(
    recording: Recording,
    { fromMs, toMs }: Stretch,
    settings: RoomSettings,
    onProgress: (atMs: number) => void,
  ): Promise<Occurrences> {
    const { rules, altitudeM } = settings
    const records = [
      recording.batches,
      [...recording.events.values()],
      recording.assignments,
      recording.vessels,
    ]
    const key = JSON.stringify([fromMs, toMs, rules, altitudeM, records, recording.log.length])
    const known = this.#runs.get(key)
    if (known) return known
    const found = new Occurrences()
    const forecastOf = this.#forecasts.of
    await replay(recording, settings, { ...this.#parts, onStep: found.take, onProgress, forecastOf })
    this.#remember(key, found)
    return found
  }

  #remember(key: string, found: Occurrences): void {
    this.#runs.set(key, found)
    const [oldest] = this.#runs.keys()
    if (this.#runs.size > MOST_RUNS && oldest !== undefined) this.#runs.delete(oldest)
  }
}

const endOf = (batch: BatchRow, nowMs: number): number => batch.endedAtMs ?? nowMs
const isShort = (batch: BatchRow, nowMs: number): boolean =>
  batch.startedAtMs < nowMs && endOf(batch, nowMs) - batch.startedAtMs <= LONGEST_BATCH_MS

async function tried(
  batch: BatchRow,
  nowMs: number,
  recording: Recording,
  found: readonly Occurrences[],
): Promise<TriedBatch> {
  const { id: batchId, vesselId, startedAtMs } = batch
  const untilMs = endOf(batch, nowMs)
  if (!(await wasMeasured(batch, untilMs, recording))) {
    const young = batch.endedAtMs === null && nowMs - startedAtMs < YOUNG_MS
    return untried(batch, nowMs, young ? Untried.notYet : Untried.noReadings)
  }
  const of = (at: number): Occurrence[] => found[at]?.of(vesselId, startedAtMs, untilMs + 1) ?? []
  const [now, then] = [of(0), of(1)]
  const silent = (those: readonly Occurrence[]) =>
    those.filter(({ calledAtMs }) => calledAtMs.length === 0).length
  return {
    batchId,
    vesselId,
    startedAtMs,
    untilMs,
    running: batch.endedAtMs === null,
    untried: null,
    alarms: compare(now, then),
    silent: { now: silent(now), then: silent(then) },
  }
}

/** Whether any reading of the batch is still there: they are dropped with age. */
export async function wasMeasured(
  { vesselId, startedAtMs }: BatchRow,
  untilMs: number,
  { assignments, samples }: Recording,
): Promise<boolean> {
  for (const row of assignments) {
    if (row.vesselId !== vesselId) continue
    const fromMs = Math.max(startedAtMs, row.fromMs)
    const toMs = Math.min(untilMs, row.toMs ?? Infinity)
    if (fromMs >= toMs) continue
    const source = { device: row.device, channel: row.channel, offset: 0, fromMs, toMs }
    if ((await samples([source])).length > 0) return true
  }
  return false
}

function untried(
  { id, vesselId, startedAtMs, endedAtMs }: BatchRow,
  nowMs: number,
  why: Untried,
): TriedBatch {
  const untilMs = endedAtMs ?? nowMs
  const silent = { now: 0, then: 0 }
  const of = { batchId: id, vesselId, startedAtMs, untilMs, running: endedAtMs === null }
  return { ...of, untried: why, alarms: [], silent }
}
