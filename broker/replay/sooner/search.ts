import type { Logger } from 'pino'
import type { RoomSettings } from '../../room/contract.ts'
import type { BatchRow } from '../../store/contract.ts'
import { ForecastMemory } from '../forecast-memory.ts'
import { Occurrences } from '../occurrences.ts'
import { readRecording, type RecordingStore } from '../read-recording.ts'
import type { Recording } from '../recording.ts'
import { replay } from '../replay.ts'
import { LONGEST_BATCH_MS, type Stretch, stretchesOf } from '../stretches.ts'
import { wasMeasured } from '../try-out.ts'
import { firstCallFor, newCalls, occurrencesWithin } from './calls.ts'
import type { Proposal, Sooner, SoonerAsk, SoonerCall } from './contract.ts'
import { proposalsFor } from './proposals.ts'

/** What is found after so long is what there is, ms of the thread's own clock. Own choice: nobody waits longer for a sentence. */
const MOST_MS = 120_000
/** A gain below this is not worth a setting, ms: time to get up. Own choice. */
const LEAST_GAIN_MS = 60_000
/** Of the settings that gain something, so many are held against the other batches. */
const MOST_HELD = 6
/** Forecasts are made this often: they cost most of a replay, and rules take little from them. As far as a stage may be late, ms. */
const FORECAST_EVERY_MS = 5 * 60_000
/** The first phase, on the batch itself, as a share of the whole: a guess that only the bar shows. */
const FIRST = 0.4

export interface SearchParts {
  readonly store: RecordingStore
  readonly logger: Logger
  /** Lets others have their turn; a rejection ends the search. */
  readonly breathe: () => Promise<void>
  readonly monotonicMs: () => number
}

interface Place extends Stretch {
  readonly recording: Recording
  /** With the settings as they are. */
  readonly now: Occurrences
}

/**
 * Looks for the setting that would have called sooner: turns one knob after the other on the batch itself, then lives through the
 * other batches with those that gain something, the greatest gain first, until one calls nobody there who is not called now.
 */
export class SoonerSearch {
  readonly #parts: SearchParts
  readonly #forecasts = new ForecastMemory()

  constructor(parts: SearchParts) {
    this.#parts = parts
  }

  async run(ask: SoonerAsk, onProgress: (share: number) => void): Promise<Sooner> {
    const untilMs = this.#parts.monotonicMs() + MOST_MS
    const isLate = () => this.#parts.monotonicMs() >= untilMs
    const { store } = this.#parts
    const all = await store.batches()
    const batch = all.find(({ id }) => id === ask.batchId)
    const none: Sooner = { now: null, found: null, refused: null, tried: 0, checked: 0, cut: false }
    const [stretch] = batch ? stretchesOf([batch], ask.nowMs) : []
    if (!batch || !stretch || stretch.toMs - stretch.fromMs > LONGEST_BATCH_MS) return none

    const proposals = proposalsFor(ask.rules, ask.settings.rules)
    const place = await this.#place(stretch, ask.settings)
    const now = firstCallFor(occurrencesOf(place.now, batch, ask.nowMs), ask.rules, ask.damageAtMs)
    const gaining: SoonerCall[] = []
    let tried = 0
    for (const proposal of proposals) {
      onProgress((FIRST * ++tried) / (proposals.length + 1))
      const call = await this.#callWith(ask, batch, place, proposal, now?.calledAtMs ?? null)
      if (call) gaining.push(call)
      if (isLate()) break
    }
    const held = worthwhile(gaining).slice(0, MOST_HELD)
    const others = all.filter(({ id }) => ask.others.includes(id))
    const places: Place[] = []
    const stretches = stretchesOf(others.filter(isShort), ask.nowMs)
    let refused: Sooner['refused'] = null
    for (const [turn, call] of held.entries()) {
      let checked = 0
      let fails: { batchId: string; newCalls: number } | null = null
      let looked = 0
      for (const [at, each] of stretches.entries()) {
        if (isLate()) break
        const share = (turn + at / stretches.length) / held.length
        onProgress(FIRST + (1 - FIRST) * share)
        const other = (places[at] ??= await this.#place(each, ask.settings))
        const then = await this.#lived(other.recording, withRule(ask.settings, call.proposal))
        looked++
        for (const one of each.batches) {
          if (!(await wasMeasured(one, endOf(one, ask.nowMs), other.recording))) continue
          const [before, after] = [other.now, then].map(found => occurrencesOf(found, one, ask.nowMs))
          const calls = newCalls(before ?? [], after ?? [], null)
          if (calls > 0) fails ??= { batchId: one.id, newCalls: calls }
          checked++
        }
        if (fails) break
      }
      if (fails) refused ??= { ...call, ...fails }
      else if (looked > 0 || stretches.length === 0)
        return { now, found: call, refused, tried, checked, cut: looked < stretches.length }
      if (isLate()) return { now, found: null, refused, tried, checked: 0, cut: true }
    }
    return { now, found: null, refused, tried, checked: 0, cut: tried < proposals.length }
  }

  /** When it would have called for the damage, if that is sooner and calls for nothing else on this batch. */
  async #callWith(
    ask: SoonerAsk,
    batch: BatchRow,
    place: Place,
    proposal: Proposal,
    nowAtMs: number | null,
  ): Promise<SoonerCall | null> {
    const then = await this.#lived(place.recording, withRule(ask.settings, proposal))
    const [before, after] = [place.now, then].map(found => occurrencesOf(found, batch, ask.nowMs))
    const call = firstCallFor(after ?? [], ask.rules, ask.damageAtMs)
    if (!call || newCalls(before ?? [], after ?? [], ask.damageAtMs) > 0) return null
    const gainedMs = nowAtMs === null ? null : nowAtMs - call.calledAtMs
    if (gainedMs !== null && gainedMs < LEAST_GAIN_MS) return null
    return { proposal, calledAtMs: call.calledAtMs, gainedMs }
  }

  async #place(stretch: Stretch, settings: RoomSettings): Promise<Place> {
    const recording = await readRecording(this.#parts.store, stretch)
    return { ...stretch, recording, now: await this.#lived(recording, settings) }
  }

  async #lived(recording: Recording, settings: RoomSettings): Promise<Occurrences> {
    const { logger, breathe } = this.#parts
    const found = new Occurrences()
    await replay(recording, settings, {
      logger,
      breathe,
      onStep: found.take,
      forecastOf: this.#forecasts.of,
      forecastEveryMs: FORECAST_EVERY_MS,
    })
    return found
  }
}

/** The greatest lead first; of those that call within a minute of each other the mildest, which was tried first. */
export function worthwhile(calls: readonly SoonerCall[]): SoonerCall[] {
  const kept: SoonerCall[] = []
  for (const call of [...calls].sort((a, b) => a.calledAtMs - b.calledAtMs)) {
    const same = kept.findIndex(
      other =>
        other.proposal.rule === call.proposal.rule &&
        other.proposal.knob === call.proposal.knob &&
        call.calledAtMs - other.calledAtMs < LEAST_GAIN_MS,
    )
    const milder = same >= 0 && calls.indexOf(call) < calls.indexOf(kept[same]!)
    if (same < 0) kept.push(call)
    else if (milder) kept[same] = call
  }
  return kept
}

const withRule = (settings: RoomSettings, { rule, setting }: Proposal): RoomSettings => ({
  ...settings,
  rules: { ...settings.rules, [rule]: setting },
})
const endOf = (batch: BatchRow, nowMs: number): number => batch.endedAtMs ?? nowMs
const isShort = (batch: BatchRow): boolean =>
  batch.endedAtMs !== null && batch.endedAtMs - batch.startedAtMs <= LONGEST_BATCH_MS
const occurrencesOf = (found: Occurrences, batch: BatchRow, nowMs: number) =>
  occurrencesWithin(found, batch.vesselId, { fromMs: batch.startedAtMs, toMs: endOf(batch, nowMs) + 1 })
