import type { Clock } from '../../clock.ts'
import { ReminderKind, type Reminder } from '../../rules/reminders.ts'
import type { Store } from '../../store/contract.ts'
import type { Room } from '../contract.ts'
import type { OtherReminders } from '../reminding.ts'
import { remindersOfBooks, takeBackDone, writeDone } from './book-reminders.ts'
import { createCleaning } from './cleaning.ts'
import type { Books } from './contract.ts'
import { createHeld } from './held.ts'
import { createLots } from './lots.ts'
import type { BookParts } from './parts.ts'
import { createPhotos } from './photos.ts'
import { createPresets } from './presets.ts'
import { allTables } from './tables/all-tables.ts'
import { createTables } from './tables/tables.ts'
import { usualBatch } from './usual.ts'
import { createWalks } from './walks.ts'

/** How often the books are looked through though nothing was written into them: time alone makes things due. */
const LOOK_EVERY_MS = 5 * 60_000
/** And how soon after the last time when something was. */
const SOONEST_MS = 2000

export interface OpenBooks {
  readonly store: Store
  readonly room: Room
  readonly clock: Clock
  readonly newId: () => string
  readonly logger: { error(details: object, message: string): void }
  /** Where the books' reminders go; without it nobody is reminded. */
  readonly remindAlso?: (others: OtherReminders) => void
}

/** Opens the breeder's books over a room and its store. */
export function openBooks({ remindAlso, logger, ...open }: OpenBooks): Books {
  let asked: readonly Reminder[] = []
  let cleanedAtMs: ReadonlyMap<string, number | null> = new Map()
  let lookedAtMs = -Infinity
  let looking: Promise<void> | null = null
  let isStale = true

  const parts: BookParts = { ...open, changed: () => void (isStale = true) }
  const lots = createLots(parts)
  const presets = createPresets(parts)
  const held = createHeld(parts)
  const cleaning = createCleaning(parts, lots)
  open.room.onChange(({ kind }) => {
    if (kind === 'batch-event' || kind === 'vessel' || kind === 'vessel-removed') isStale = true
  })

  const books: Books = {
    lots,
    presets,
    held,
    cleaning,
    walks: createWalks(parts),
    photos: createPhotos(parts),
    tables: createTables(parts, allTables(parts)),
    usual: vesselId => usualBatch(parts, lots, presets, vesselId),
    reminders(nowMs) {
      const age = nowMs - lookedAtMs
      if (looking === null && age >= (isStale ? SOONEST_MS : LOOK_EVERY_MS)) {
        books.refresh().catch((error: unknown) => logger.error({ error }, 'looking through the books failed'))
      }
      return asked
    },
    refresh() {
      looking ??= look().finally(() => (looking = null))
      return looking
    },
  }
  remindAlso?.({
    of: nowMs => books.reminders(nowMs),
    onDone: (reminder, by) => writeDone(parts, cleaning, reminder, by),
    async onUndone(done) {
      if (!(await takeBackDone(cleaning, done))) return
      // A look that is under way may have read the log before.
      await looking
      await books.refresh()
    },
    answeredAtMs: (kind, vesselId) =>
      kind === ReminderKind.cleaning ? (cleanedAtMs.get(vesselId) ?? null) : null,
  })
  return books

  async function look(): Promise<void> {
    isStale = false
    lookedAtMs = open.clock()
    const views = await cleaning.list()
    asked = await remindersOfBooks(parts, { held, lots, cleaning: views })
    cleanedAtMs = new Map(views.map(({ vesselId, lastCleanedAtMs }) => [vesselId, lastCleanedAtMs]))
  }
}
