import { ReminderKind, type Reminder } from '../rules/reminders.ts'

/** The page of the dashboard on which a reminder is seen to: path and query, as messages and the screen link to it. */
export function reminderPage({ kind, vesselId }: Pick<Reminder, 'kind' | 'vesselId'>): string {
  const of = vesselId === null ? null : encodeURIComponent(vesselId)
  switch (kind) {
    case ReminderKind.harvestOpens:
    case ReminderKind.harvestClosing:
      return of === null ? '/' : `/harvest?of=${of}`
    case ReminderKind.heldLimit:
      return '/held'
    case ReminderKind.cleaning:
    case ReminderKind.disinfect:
      return '/cleaning'
    case ReminderKind.lotUseBy:
      return '/lots'
    default:
      return of === null ? '/' : `/vessel/${of}`
  }
}
