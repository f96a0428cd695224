import {
  EARLIEST_PUBLISHED_H,
  HowEarly,
  howEarly,
  NEVER_BEFORE_H,
} from '../hatch/development/earliest-hatch.ts'
import { duration } from '../rules/words.ts'
import type { BatchEventRow, BatchRow } from '../store/contract.ts'
import { findBatch } from './batches.ts'
import { bodyJson, eventOf, readLog, rowOf } from './batch-log.ts'
import {
  type BatchEvent,
  type BatchEventBody,
  type NewBatchEvent,
  type ReadyEvent,
} from './event-contract.ts'
import { RoomError, RoomErrorKind } from './contract.ts'
import { checkCount } from './dose.ts'
import { forecastAt } from './forecasting.ts'
import { checkTaken } from './harvest-left.ts'
import { learnFromBatch } from './lot-learning.ts'
import { CLOCK_SLACK_MS } from './moments.ts'
import type { RoomState } from './state.ts'

/** What one batch's log may hold; further entries are refused. */
const MOST_EVENTS = 500
/** A sample taken at the harvest may be counted and written down as of this long after the batch ended. */
const AFTER_END_MS = 2 * 86_400_000

/** Writes down what a person saw or did with a batch, open or ended, and lets the forecasts of its lot learn from it. */
export async function recordEvent(
  state: RoomState,
  batchId: string,
  input: NewBatchEvent,
): Promise<BatchEvent> {
  const ready = await readyEvent(state, batchId, input)
  return ready.keep()
}

/** An entry that may be written, as far as can be told now, and is not yet: so that several are kept in one turn, or none. */
export async function readyEvent(
  state: RoomState,
  batchId: string,
  input: NewBatchEvent,
): Promise<ReadyEvent> {
  const batch = await findBatch(state, batchId)
  const nowMs = state.parts.clock()
  const { atMs = Math.min(nowMs, batch.endedAtMs ?? nowMs), by, replaces, insist = false, ...said } = input
  checkMoment(batch, atMs, nowMs)
  const log = await readLog(state, batch)
  const replaced = log.find(event => event.id === replaces)
  if (replaces !== undefined && !replaced) throw noEntry('correct it', replaces)
  const events = log.filter(event => event !== replaced)
  const body =
    said.kind === 'taken' ? await withWorth(state, batch, said, Math.min(atMs, nowMs), events) : said
  checkBody(batch, body, atMs, events)
  if (body.kind === 'first-swimmers') checkHatch(batch, atMs, insist)
  if (events.length >= MOST_EVENTS) {
    throw new RoomError(
      RoomErrorKind.conflict,
      `Cannot write it down: a batch's log holds ${MOST_EVENTS} entries, and this one is full`,
    )
  }
  const row: BatchEventRow = {
    id: state.parts.newId(),
    batchId,
    atMs: Math.min(atMs, nowMs),
    recordedAtMs: nowMs,
    by,
    kind: body.kind,
    json: bodyJson(body),
    withdrawnAtMs: null,
  }
  return {
    id: row.id,
    async keep() {
      // Both in one turn, so that they are kept together or not at all.
      const takenBack =
        replaced && replaced.withdrawnAtMs === null
          ? keep(state, batch, { ...rowOf(replaced), withdrawnAtMs: nowMs })
          : undefined
      const [event] = await Promise.all([keep(state, batch, row), takenBack])
      return event
    },
  }
}

/** Takes an entry back: it stays in the log and counts no more. Taking it back twice changes nothing. */
export async function withdrawEvent(state: RoomState, batchId: string, eventId: string): Promise<BatchEvent> {
  return (await readyWithdrawal(state, batchId, eventId)).keep()
}

/** The same, looked up and not written yet: so that several are taken back in one turn, or none. */
export async function readyWithdrawal(
  state: RoomState,
  batchId: string,
  eventId: string,
): Promise<ReadyEvent> {
  const batch = await findBatch(state, batchId)
  const row = (await state.parts.store.batchEvents(batchId)).find(event => event.id === eventId)
  if (!row) throw noEntry('take it back', eventId)
  return {
    id: row.id,
    keep: async () =>
      row.withdrawnAtMs === null
        ? keep(state, batch, { ...row, withdrawnAtMs: state.parts.clock() })
        : eventOf(row, batch),
  }
}

export async function listEvents(state: RoomState, batchId: string): Promise<BatchEvent[]> {
  return readLog(state, await findBatch(state, batchId))
}

function noEntry(what: string, id: string): RoomError {
  const rule = `the batch's log has no entry with the id ${id}`
  return new RoomError(RoomErrorKind.notFound, `Cannot ${what}: ${rule}`)
}

/**
 * What nauplii are worth when they are taken: the forecast's energy at that moment, and when the first were out. Those that somebody saw
 * swim were out by then, whatever is reckoned: of both the earlier counts, so that an age is rather too high than too low.
 */
async function withWorth(
  state: RoomState,
  batch: BatchRow,
  taken: Extract<BatchEventBody, { kind: 'taken' }>,
  atMs: number,
  events: readonly BatchEvent[],
): Promise<BatchEventBody> {
  const { energyLeft, t10, reachesHatch } = await forecastAt(state, batch, atMs)
  const seen = events.filter(event => event.kind === 'first-swimmers' && event.withdrawnAtMs === null)
  const out = [...(reachesHatch ? [Math.round(t10.p50)] : []), ...seen.map(event => event.atMs)]
  const first = Math.min(...out)
  const firstOutAtMs = first < atMs ? first : null
  return { ...taken, energyLeft: energyLeft.p50, firstOutAtMs }
}

async function keep(state: RoomState, batch: BatchRow, row: BatchEventRow): Promise<BatchEvent> {
  await state.parts.store.keepBatchEvent(row)
  const event = eventOf(row, batch)
  state.tell({ kind: 'batch-event', vesselId: batch.vesselId, event })
  await learnFromBatch(state, batch)
  return event
}

function checkMoment(batch: BatchRow, atMs: number, nowMs: number): void {
  const refuse = (rule: string) => {
    throw new RoomError(RoomErrorKind.invalid, `Cannot write it down: its time lies ${rule}`, 'at')
  }
  if (atMs > nowMs + CLOCK_SLACK_MS) refuse('in the future')
  if (atMs < batch.startedAtMs) refuse("before the batch's start")
  if (batch.endedAtMs !== null && atMs > batch.endedAtMs + AFTER_END_MS)
    refuse("more than two days after the batch's end")
}

/** What cannot have been: more nauplii than the cysts can give, more taken than was harvested, first swimmers twice or after the end. */
function checkBody(batch: BatchRow, body: BatchEventBody, atMs: number, events: readonly BatchEvent[]): void {
  if (body.kind === 'count') checkCount(batch, body)
  if (body.kind === 'taken') checkTaken(body, atMs, events)
  if (body.kind !== 'first-swimmers') return
  if (batch.endedAtMs !== null && atMs > batch.endedAtMs) {
    const words = 'Cannot write it down: first swimmers are seen before the end of a batch'
    throw new RoomError(RoomErrorKind.invalid, words, 'at')
  }
  if (!events.some(event => event.kind === 'first-swimmers' && event.withdrawnAtMs === null)) return
  const words = 'Cannot write it down: its first swimmers were seen already; take that entry back first'
  throw new RoomError(RoomErrorKind.conflict, words, 'kind')
}

/** Swimmers before anything can hatch are a slip of the finger or a batch that began earlier than was written down. */
function checkHatch(batch: BatchRow, atMs: number, insist: boolean): void {
  const early = howEarly(atMs - batch.startedAtMs)
  if (early === HowEarly.usual || (early === HowEarly.unlikely && insist)) return
  const after = duration(Math.max(0, atMs - batch.startedAtMs))
  if (early === HowEarly.impossible)
    throw new RoomError(
      RoomErrorKind.invalid,
      `Cannot write it down: nothing hatches within ${NEVER_BEFORE_H} h of the cysts going in, got ${after}. If they went in earlier, set the batch's start right first`,
      'at',
    )
  throw new RoomError(
    RoomErrorKind.conflict,
    `Cannot write it down unasked: the earliest published is ${EARLIEST_PUBLISHED_H} h after the cysts went in, and this is ${after}. If they do swim, say so again`,
    'insist',
  )
}
