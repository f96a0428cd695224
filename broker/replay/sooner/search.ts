import type { Logger } from 'pino'
import { RuleName } from '../../rules/alarm.ts'
import type { RoomSettings } from '../../room/contract.ts'
import type { BatchRow } from '../../store/contract.ts'
import { ForecastMemory } from '../forecast-memory.ts'
import { Occurrences } from '../occurrences.ts'
import { readRecording, type RecordingStore } from '../read-recording.ts'
import type { Recording } from '../recording.ts'
import { replay } from '../replay.ts'
import { LONGEST_BATCH_MS, stretchesOf } from '../stretches.ts'
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
/** Time alone acts so often: devices that measure less often than this are the rule. */
const TICK_MS = 10_000
/** The first phase, on the batch itself, as a share of the whole: a guess that only the bar shows. */
const FIRST = 0.4

export interface SearchParts {
  readonly store: RecordingStore
  /** Where a batch from elsewhere is, which is not in the store; `null` when there is none. */
  readonly elsewhere: (batchId: string) => Promise<RecordingStore | null>
  readonly logger: Logger
  /** Lets others have their turn; a rejection ends the search. */
  readonly breathe: () => Promise<void>
  readonly monotonicMs: () => number
}

interface Place {
  readonly batch: BatchRow
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
    const from = all.some(({ id }) => id === ask.batchId) ? store : await this.#parts.elsewhere(ask.batchId)
    const batch = (await from?.batches())?.find(({ id }) => id === ask.batchId)
    const none: Sooner = { now: null, found: null, refused: null, tried: 0, checked: 0, cut: false }
    if (!from || !batch || !isShort(batch, ask.nowMs)) return none

    const proposals = proposalsFor(ask.rules, ask.settings.rules)
    const place = await this.#place(from, batch, ask)
    const now = firstCallFor(occurrencesOf(place.now, batch, ask.nowMs), ask.rules, ask.damageAtMs)
    const gaining: SoonerCall[] = []
    let tried = 0
    for (const proposal of proposals) {
      onProgress((FIRST * ++tried) / (proposals.length + 1))
      const call = await this.#callWith(ask, place, proposal, now?.calledAtMs ?? null)
      if (call) gaining.push(call)
      if (isLate()) break
    }
    const held = worthwhile(gaining).slice(0, MOST_HELD)
    const others = all.filter(other => ask.others.includes(other.id) && isShort(other, ask.nowMs))
    const places = new Map<string, Place | null>()
    let refused: Sooner['refused'] = null
    for (const [turn, call] of held.entries()) {
      let looked = 0
      let checked = 0
      for (const other of others) {
        if (isLate()) break
        onProgress(FIRST + ((1 - FIRST) * (turn + looked / others.length)) / held.length)
        if (!places.has(other.id)) places.set(other.id, await this.#measured(other, ask))
        const there = places.get(other.id)
        looked++
        if (!there) continue
        const then = await this.#lived(there.recording, withRule(ask.settings, call.proposal))
        const of = (found: Occurrences) => occurrencesOf(found, other, ask.nowMs)
        const count = newCalls(of(there.now), of(then), null)
        checked++
        if (count === 0) continue
        refused ??= { ...call, batchId: other.id, newCalls: count }
        checked = -1
        break
      }
      if (checked > 0 || (checked === 0 && looked === others.length))
        return { now, found: call, refused, tried, checked, cut: looked < others.length }
      if (isLate()) return { now, found: null, refused, tried, checked: 0, cut: true }
    }
    return { now, found: null, refused, tried, checked: 0, cut: tried < proposals.length }
  }

  /** When it would have called for the damage, if that is sooner and calls for nothing else on this batch. */
  async #callWith(
    ask: SoonerAsk,
    { batch, recording, now }: Place,
    proposal: Proposal,
    nowAtMs: number | null,
  ): Promise<SoonerCall | null> {
    const then = await this.#lived(recording, withRule(ask.settings, proposal))
    const after = occurrencesOf(then, batch, ask.nowMs)
    const call = firstCallFor(after, ask.rules, ask.damageAtMs)
    if (!call || newCalls(occurrencesOf(now, batch, ask.nowMs), after, ask.damageAtMs) > 0) return null
    const gainedMs = nowAtMs === null ? null : nowAtMs - call.calledAtMs
    if (gainedMs !== null && gainedMs < LEAST_GAIN_MS) return null
    return { proposal, calledAtMs: call.calledAtMs, gainedMs }
  }

  /** A batch in its stretch, lived through as the settings are. */
  async #place(from: RecordingStore, batch: BatchRow, { settings, rules, nowMs }: SoonerAsk): Promise<Place> {
    const [stretch] = stretchesOf([batch], nowMs)
    const whole = await readRecording(from, stretch!)
    const recording = rules.includes(RuleName.powerLost) ? whole : vesselAlone(whole, batch.vesselId)
    return { batch, recording, now: await this.#lived(recording, settings) }
  }

  /** The same, unless nothing is left of its readings. */
  async #measured(batch: BatchRow, ask: SoonerAsk): Promise<Place | null> {
    const place = await this.#place(this.#parts.store, batch, ask)
    return (await wasMeasured(batch, endOf(batch, ask.nowMs), place.recording)) ? place : null
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
      tickMs: TICK_MS,
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
/**
 * Without the other vessels of the room: they cost as much again each, and one's alarm is the cause of another's only where several
 * devices fall silent together.
 */
function vesselAlone(recording: Recording, vesselId: string): Recording {
  const { vessels, assignments } = recording
  return {
    ...recording,
    vessels: vessels.filter(({ id }) => id === vesselId),
    assignments: assignments.filter(row => row.vesselId === vesselId),
  }
}
const endOf = (batch: BatchRow, nowMs: number): number => batch.endedAtMs ?? nowMs
const isShort = (batch: BatchRow, nowMs: number): boolean =>
  batch.startedAtMs < endOf(batch, nowMs) && endOf(batch, nowMs) - batch.startedAtMs <= LONGEST_BATCH_MS
const occurrencesOf = (found: Occurrences, batch: BatchRow, nowMs: number) =>
  occurrencesWithin(found, batch.vesselId, { fromMs: batch.startedAtMs, toMs: endOf(batch, nowMs) + 1 })
