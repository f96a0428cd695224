import type { Diagnosis } from '../../diagnosis/contract.ts'
import type { BatchRow, Role, Source } from '../../store/contract.ts'
import { readLog } from '../batch-log.ts'
import { findBatch } from '../batches.ts'
import { RoomError, RoomErrorKind } from '../contract.ts'
import { inOrder, lotHistory } from '../lot-book.ts'
import { ROLES } from '../roles.ts'
import type { RoomState } from '../state.ts'
import { AROUND_MS, type Question, thinned, writtenDown } from './question.ts'
import { DiagnosingThread } from './thread.ts'

/** So many diagnoses are kept; the one made first makes room. */
const MOST_KEPT = 32
/** So many may be asked for at once; further ones are refused. */
const MOST_WAITING = 8
/** The diagnosis of an open batch is made anew after so long, ms. */
const FRESH_MS = 5 * 60_000
/** That of an ended one, while readings still come in, after so long, ms. */
const AFTER_END_MS = 3_600_000

interface Kept {
  /** What it was made from, as text: another text, and it is made anew. */
  readonly version: string
  readonly diagnosis: Promise<Diagnosis>
}

/** Diagnoses of batches, each made once for what is known, on a thread beside the alarms. */
export class Diagnosing {
  readonly #thread: DiagnosingThread
  readonly #kept = new Map<string, Kept>()
  /** Of a vessel whose past has changed: how often. */
  readonly #pasts = new Map<string, number>()
  #waiting = 0

  constructor(thread = new DiagnosingThread()) {
    this.#thread = thread
  }

  /** Readings came in for a span that is past. */
  pastChanged(vesselId: string): void {
    this.#pasts.set(vesselId, (this.#pasts.get(vesselId) ?? 0) + 1)
  }

  /** What went wrong with a batch, as of its end, or as of now while it is open. */
  async of(state: RoomState, id: string): Promise<Diagnosis> {
    const batch = await findBatch(state, id)
    const { question, version } = await this.#asked(state, batch)
    const kept = this.#kept.get(id)
    if (kept?.version === version) return kept.diagnosis
    if (this.#waiting >= MOST_WAITING) {
      const words = `Cannot diagnose the batch: ${MOST_WAITING} diagnoses are being made; ask again in a moment`
      throw new RoomError(RoomErrorKind.conflict, words)
    }
    this.#waiting++
    const diagnosis = question().then(asked => this.#thread.ask(asked))
    this.#kept.delete(id)
    this.#kept.set(id, { version, diagnosis })
    if (this.#kept.size > MOST_KEPT) this.#kept.delete(this.#kept.keys().next().value ?? id)
    try {
      return await diagnosis
    } catch (error) {
      this.#kept.delete(id)
      throw error
    } finally {
      this.#waiting--
    }
  }

  async #asked(state: RoomState, batch: BatchRow) {
    const { settings } = state
    const events = await readLog(state, batch)
    const history =
      batch.lot === null
        ? []
        : inOrder(
            [...(await lotHistory(state, batch.lot))]
              .filter(([id, evidence]) => id !== batch.id && evidence.startedAtMs < batch.startedAtMs)
              .map(([, evidence]) => evidence),
          )
    const now = state.parts.clock()
    const nowMs = batch.endedAtMs ?? Math.floor(now / FRESH_MS) * FRESH_MS
    const limits = {
      tooHotC: settings.rules['water-too-hot'].limit,
      tooCoolC: settings.rules['water-too-cool'].limit,
      airLpmPerL: settings.rules['air-lost'].limit,
    }
    const watched =
      state.routes.sources(batch.vesselId, 'water', batch.startedAtMs, Math.max(nowMs, batch.startedAtMs + 1))
        .length > 0
    const about = {
      watched,
      batch,
      written: writtenDown(batch, events),
      nowMs,
      altitudeM: settings.altitudeM,
      limits,
    }
    // What is measured after the end counts too, for some hours: water that stands unheated tells of its probe.
    const untilMs = Math.min(
      (batch.endedAtMs ?? nowMs) + AROUND_MS,
      Math.floor(now / AFTER_END_MS) * AFTER_END_MS,
    )
    const sources = ROLES.map(
      role =>
        [
          role,
          state.routes.sources(batch.vesselId, role, batch.startedAtMs - AROUND_MS, Math.max(untilMs, nowMs)),
        ] as const,
    )
    const version = JSON.stringify([about, history, sources, this.#pasts.get(batch.vesselId) ?? 0])
    const question = async (): Promise<Question> => ({
      input: { ...about, readings: await readingsOf(state, sources) },
      history,
    })
    return { question, version }
  }
}

type SourcesByRole = readonly (readonly [Role, readonly Source[]])[]

async function readingsOf(state: RoomState, sources: SourcesByRole) {
  const roles = await Promise.all(
    sources
      .filter(([, some]) => some.length > 0)
      .map(async ([role, some]) => [role, thinned(await state.parts.store.samples(some))] as const),
  )
  return Object.fromEntries(roles.filter(([, samples]) => samples.length > 0))
}
