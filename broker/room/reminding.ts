import { z } from 'zod'
import { hardlyKnown } from '../hatch/hardly-known.ts'
import type { Reminder } from '../rules/reminders.ts'
import { dueOf, ReminderKind, remindersOf, type ReminderFacts } from '../rules/reminders.ts'
import type { BatchRow } from '../store/contract.ts'
import type { BatchForecast } from './batch-forecast.ts'
import { type BatchForecastView } from './views.ts'
import { RoomError, RoomErrorKind } from './contract.ts'
import type { RoomState } from './state.ts'

const KEY = 'reminders-done'
/** What was done is remembered of the newest so many: a reminder is past its sense within days. */
const MOST_DONE = 500
const DoneReminder = z.object({
  id: z.string(),
  atMs: z.number(),
  by: z.string(),
  vesselId: z.string().nullish(),
})
export type DoneReminder = z.infer<typeof DoneReminder>
const Kept = z.array(DoneReminder)

/** What asks for things to be done beside the batches, and wants to know what was ticked off. */
export interface OtherReminders {
  /** All that is asked for, whether it is due by then or not. */
  of(nowMs: number): readonly Reminder[]
  onDone(reminder: Reminder, by: string): Promise<void>
  /** What ticking it off wrote is to be taken back. */
  onUndone?(done: DoneReminder): Promise<void>
  /** When what was written down last answered a reminder of this kind for a vessel, Unix ms. Left out: nothing of it is known here. */
  answeredAtMs?(kind: ReminderKind, vesselId: string): number | null
}

/** What the room's batches ask for now, and what people have done of it. */
export class Reminding {
  #due: readonly Reminder[] = []
  #done: z.infer<typeof Kept> = []
  /** The last batch of each vessel, once it has ended. */
  readonly #ended = new Map<string, BatchRow>()

  readonly #others: OtherReminders[] = []

  /** Something else that asks for things to be done. */
  also(others: OtherReminders): void {
    this.#others.push(others)
  }

  get due(): readonly Reminder[] {
    return this.#due
  }

  async restore(state: RoomState): Promise<void> {
    const json = await state.parts.store.document(KEY)
    if (json !== undefined) this.#done = Kept.safeParse(JSON.parse(json)).data ?? []
    for (const id of state.vessels.keys()) {
      const [last] = await state.parts.store.batches({ vesselId: id, limit: 1 })
      if (typeof last?.endedAtMs === 'number') this.#ended.set(id, last)
    }
  }

  noteEnded(batch: BatchRow): void {
    this.#ended.set(batch.vesselId, batch)
  }

  /** Finds out what is due, and tells the room when that has changed. */
  look(state: RoomState, nowMs: number): void {
    const done = new Set(this.#done.map(({ id }) => id))
    const all = [...state.vessels.values()].flatMap(vessel => {
      const batch = vessel.batch ?? this.#ended.get(vessel.row.id)
      if (!batch) return []
      const forecast = vessel.batch && vessel.forecast ? timesOf(vessel.forecast) : null
      const seen = vessel.batch ? vessel.development : null
      return remindersOf({ vesselId: vessel.row.id, vesselName: vessel.row.name, batch, forecast }).filter(
        ({ kind, dueAtMs }) => !isAnswered(kind, seen) && !this.#isWrittenDown(kind, vessel.row.id, dueAtMs),
      )
    })
    all.push(...this.#others.flatMap(others => others.of(nowMs)))
    const due = dueOf(all, done, nowMs)
    if (due.length === this.#due.length && due.every((each, at) => isSame(each, this.#due[at]))) return
    this.#due = due
    state.tell({ kind: 'reminders', reminders: due })
  }

  /** It was written down where it belongs once it was due, without being ticked off here. */
  #isWrittenDown(kind: ReminderKind, vesselId: string, dueAtMs: number): boolean {
    return this.#others.some(others => (others.answeredAtMs?.(kind, vesselId) ?? -Infinity) >= dueAtMs)
  }

  /** A person has done it, or wants to hear no more of it. */
  async done(state: RoomState, id: string, by: string): Promise<Reminder> {
    const reminder = this.#due.find(each => each.id === id)
    if (!reminder)
      throw new RoomError(RoomErrorKind.notFound, `Cannot tick off: no reminder that is due has the id ${id}`)
    const nowMs = state.parts.clock()
    this.#done = [...this.#done, { id, atMs: nowMs, by, vesselId: reminder.vesselId }].slice(-MOST_DONE)
    this.look(state, nowMs)
    const kept = state.parts.store.keepDocument(KEY, JSON.stringify(this.#done))
    for (const others of this.#others) await others.onDone(reminder, by)
    await kept
    return reminder
  }

  /** It was ticked off by mistake: it is due again, if it still makes sense. */
  async undone(state: RoomState, id: string): Promise<void> {
    const left = this.#done.filter(each => each.id !== id)
    if (left.length === this.#done.length)
      throw new RoomError(
        RoomErrorKind.notFound,
        `Cannot take back: no reminder with the id ${id} was ticked off`,
      )
    const undone = this.#done.filter(each => each.id === id)
    this.#done = left
    for (const others of this.#others) for (const each of undone) await others.onUndone?.(each)
    this.look(state, state.parts.clock())
    await state.parts.store.keepDocument(KEY, JSON.stringify(this.#done))
  }
}

/** What was written down answers what it was asked for: whoever saw nauplii needs no first look, whoever counted the harvest has begun it. */
function isAnswered(kind: ReminderKind, seen: Pick<BatchForecast, 'wasSeen' | 'harvested'> | null): boolean {
  if (kind === ReminderKind.firstLook) return seen?.wasSeen === true
  return kind === ReminderKind.harvestOpens && seen?.harvested === true
}

function timesOf(forecast: BatchForecastView): ReminderFacts['forecast'] {
  if (!forecast.reachesHatch) return null
  return {
    firstHatchMs: forecast.t10.p10,
    allHatchedMs: forecast.t90.p50,
    harvestFromMs: forecast.harvest.fromMs,
    harvestBestMs: forecast.harvest.bestMs,
    harvestUntilMs: forecast.harvest.untilMs,
    isGuess: hardlyKnown(forecast.hatchedNow),
  }
}

/** What is asked may have been said otherwise since: what is perhaps ready is ready once somebody has looked. */
const isSame = (one: Reminder, other: Reminder | undefined): boolean =>
  one.id === other?.id && one.title === other.title
