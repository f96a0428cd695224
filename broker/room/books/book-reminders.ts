import { disinfectReminder, heldReminder, lotReminder } from '../../rules/book-reminders.ts'
import { ReminderKind, type Reminder } from '../../rules/reminders.ts'
import type { DoneReminder } from '../reminding.ts'
import type { Cleaning, CleaningView, Held, Lots } from './contract.ts'
import type { BookParts } from './parts.ts'

/** What the books ask to be done. */
export async function remindersOfBooks(
  { room }: Pick<BookParts, 'room'>,
  { held, lots, cleaning }: { held: Held; lots: Lots; cleaning: readonly CleaningView[] },
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
  for (const { vesselId, isEmpty, disinfect } of cleaning) {
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

/** The cleaning that ticking a reminder off wrote is withdrawn with it. Answers whether there was one. */
export async function takeBackDone(
  cleaning: Cleaning,
  { id, atMs, by, vesselId }: DoneReminder,
): Promise<boolean> {
  if (!id.endsWith(`.${ReminderKind.cleaning}`) && !id.includes(`.${ReminderKind.disinfect}.`)) return false
  const view = (await cleaning.list()).find(each => each.vesselId === vesselId)
  // The log has the newest first.
  const wrote = view?.log.findLast(
    entry => entry.by === by && entry.recordedAtMs >= atMs && entry.withdrawnAtMs === null,
  )
  if (wrote === undefined) return false
  await cleaning.withdraw(wrote.id)
  return true
}
