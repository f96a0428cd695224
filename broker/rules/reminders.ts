import { HOUR_MS } from '../hatch/units.ts'

/** What a batch asks to be done in its time. No alarm: nothing is lost by an hour, and nothing ever sounds for it. */
export const ReminderKind = {
  knockDown: 'knock-down',
  firstLook: 'first-look',
  harvestOpens: 'harvest-opens',
  harvestClosing: 'harvest-closing',
  cleaning: 'cleaning',
  /** Of the breeder's books: see `book-reminders.ts`. */
  disinfect: 'disinfect',
  heldLimit: 'held-limit',
  lotUseBy: 'lot-use-by',
  /** Of a probe: see `calibration-reminder.ts`. */
  calibration: 'calibration',
} as const
export type ReminderKind = (typeof ReminderKind)[keyof typeof ReminderKind]

export interface Reminder {
  /** Names it for good: the batch and the kind. */
  readonly id: string
  readonly kind: ReminderKind
  /** `null` for what concerns no vessel, or no batch. */
  readonly vesselId: string | null
  readonly batchId: string | null
  readonly dueAtMs: number
  /** When it has lost its sense, Unix ms. */
  readonly untilMs: number
  /** A few words, and what to do in a sentence or two. */
  readonly title: string
  readonly text: string
}

export interface ReminderFacts {
  readonly vesselId: string
  readonly vesselName: string
  readonly batch: { readonly id: string; readonly startedAtMs: number; readonly endedAtMs: number | null }
  /** Of the open batch, as of now; `null` where there is none. */
  readonly forecast: {
    readonly firstHatchMs: number
    readonly allHatchedMs: number
    readonly harvestFromMs: number
    readonly harvestBestMs: number
    readonly harvestUntilMs: number
    /** What is out is hardly more than a guess; left out for no. */
    readonly isGuess?: boolean
  } | null
}

/** A ring of cysts sticks above the water line at 4 to 6 h (common practice, no source); it is of use until the hatch begins. */
const RING_FROM_MS = 4 * HOUR_MS
const RING_UNTIL_MS = 10 * HOUR_MS
/** So long before the window's end its closing is told. Own choice: time to come home. */
const CLOSING_MS = HOUR_MS
/** A vessel that waits so long uncleaned will be seen to before the next batch anyway. */
const CLEANING_UNTIL_MS = 24 * HOUR_MS

/** All that a batch asks for, whether it is due or not, in the order of time. A forecast that moves moves what hangs on it. */
export function remindersOf({ vesselId, vesselName, batch, forecast }: ReminderFacts): readonly Reminder[] {
  const of = (
    kind: ReminderKind,
    dueAtMs: number,
    untilMs: number,
    title: string,
    text: string,
  ): Reminder => ({
    id: `${batch.id}.${kind}`,
    kind,
    vesselId,
    batchId: batch.id,
    dueAtMs,
    untilMs,
    title,
    text,
  })
  const { startedAtMs, endedAtMs } = batch
  if (endedAtMs !== null)
    return [
      of(
        ReminderKind.cleaning,
        endedAtMs,
        endedAtMs + CLEANING_UNTIL_MS,
        `Clean ${vesselName}`,
        'Pour the old water away and rinse the vessel, its line and its probe with hot water. Never reuse the water.',
      ),
    ]
  const due = [
    of(
      ReminderKind.knockDown,
      startedAtMs + RING_FROM_MS,
      startedAtMs + RING_UNTIL_MS,
      `Knock the ring down in ${vesselName}`,
      'Cysts stick in a ring above the water line and dry there. Wash them back down with water from the vessel.',
    ),
  ]
  if (forecast === null) return due
  const { firstHatchMs, allHatchedMs, harvestFromMs, harvestBestMs, harvestUntilMs, isGuess } = forecast
  due.push(
    of(
      ReminderKind.firstLook,
      firstHatchMs,
      // Once there is a harvest to see to, that is what asks to be done.
      Math.max(Math.min(allHatchedMs, harvestFromMs), firstHatchMs + HOUR_MS),
      `First look at ${vesselName}`,
      'The first nauplii may be out. Hold a lamp to the vessel, and write down when you see them swim: the forecast learns from it.',
    ),
    of(
      ReminderKind.harvestOpens,
      harvestFromMs,
      Math.max(harvestBestMs, harvestUntilMs - CLOSING_MS),
      isGuess === true ? `${vesselName} is perhaps ready` : `Harvest ${vesselName}`,
      isGuess === true
        ? 'Of this lot too little is known to be sure: look how much swims before you harvest. Write down what you see.'
        : 'It is ready. Air off, light at the bottom only, 10 min to settle; then draw off until the flow runs clear.',
    ),
    of(
      ReminderKind.harvestClosing,
      Math.max(harvestBestMs, harvestUntilMs - CLOSING_MS),
      harvestUntilMs + HOUR_MS,
      `The harvest of ${vesselName} closes`,
      'From here on the nauplii are worth less each hour: they live on their yolk. Harvest now, or cool them.',
    ),
  )
  return due.sort((a, b) => a.dueAtMs - b.dueAtMs)
}

/** Those that are due and still make sense, and that nobody has done or dismissed; the oldest first. */
export function dueOf(reminders: readonly Reminder[], done: ReadonlySet<string>, nowMs: number): Reminder[] {
  return reminders
    .filter(({ id, dueAtMs, untilMs }) => dueAtMs <= nowMs && nowMs < untilMs && !done.has(id))
    .sort((a, b) => a.dueAtMs - b.dueAtMs)
}
