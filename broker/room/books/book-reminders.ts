import { disinfectReminder, heldReminder, lotReminder } from '../../rules/book-reminders.ts'
import { ReminderKind, type Reminder } from '../../rules/reminders.ts'
import type { Cleaning, Held, Lots } from './contract.ts'
import type { BookParts } from './parts.ts'

/** What the books ask to be done. */
export async function remindersOfBooks(
  { room }: Pick<BookParts, 'room'>,
  { held, lots, cleaning }: { held: Held; lots: Lots; cleaning: Cleaning },
): Promise<Reminder[]> {
  const names = new Map(room.snapshot().vessels.map(({ row }) => [row.id, row.name]))
  const nameOf = (id: string) => names.get(id) ?? 'a vessel'
  const portions = (await held.list()).map(({ state, ...portion }) =>
    heldReminder({ ...portion, vesselName: nameOf(portion.vesselId), untilMs: state.untilMs }),
  )
  const onShelf = (await lots.list()).flatMap(({ useBy, gramsLeft, endedAtMs, ...lot }) =>
    useBy === null || endedAtMs !== null || gramsLeft === 0
      ? []
      : [lotReminder({ ...lot, gramsLeft, useBy })],
  )
  const bleach: Reminder[] = []
  for (const { vesselId, isEmpty, disinfect } of await cleaning.list()) {
    if (!isEmpty || disinfect === null) continue
    const [last] = await room.batches({ vesselId, limit: 1 })
    if (typeof last?.endedAtMs !== 'number') continue
    const vesselName = nameOf(vesselId)
    bleach.push(disinfectReminder({ vesselId, vesselName, reason: disinfect, emptySinceMs: last.endedAtMs }))
  }
  return [...portions, ...onShelf, ...bleach]
}

/** What was ticked off is written where it belongs: a ring knocked down into the batch's log, a cleaning into the vessel's. */
export async function writeDone(
  { room }: Pick<BookParts, 'room'>,
  cleaning: Cleaning,
  { kind, vesselId, batchId }: Reminder,
  by: string,
): Promise<void> {
  if (kind === ReminderKind.knockDown && batchId !== null)
    await room.recordEvent(batchId, { kind: 'ring-knocked-down', by })
  if (vesselId === null) return
  if (kind === ReminderKind.cleaning) await cleaning.clean(vesselId, { how: 'hot-water', by })
  if (kind === ReminderKind.disinfect) await cleaning.clean(vesselId, { how: 'disinfected', by })
}
