import { HOUR_MS } from '../hatch/units.ts'
import { type Reminder, ReminderKind } from './reminders.ts'

const DAY_MS = 24 * HOUR_MS
/** Own choice: probes of this kind creep by some hundredths of a degree in a year (from memory). */
export const CALIBRATE_EVERY_DAYS = 365
/** It stays due for so long; whoever has not done it by then does not mean to. Own choice. */
const UNTIL_MS = 90 * DAY_MS

export interface ProbeFacts {
  readonly device: string
  readonly channel: string
  /** The calibration that holds, and when it was made. */
  readonly calibrationId: string
  readonly atMs: number
  /** Where it is; `null` for nowhere. */
  readonly vessel: { readonly id: string; readonly name: string } | null
}

/** A probe that was calibrated is due again so many days later; `null` when nobody wants to be reminded. */
export function calibrationReminder(probe: ProbeFacts, everyDays: number): Reminder | null {
  if (!(everyDays > 0)) return null
  const { device, channel, calibrationId, atMs, vessel } = probe
  const dueAtMs = atMs + everyDays * DAY_MS
  const where = vessel === null ? `${device}/${channel}` : `the probe ${device}/${channel} of ${vessel.name}`
  return {
    id: `${calibrationId}.${ReminderKind.calibration}.${everyDays}`,
    kind: ReminderKind.calibration,
    vesselId: vessel?.id ?? null,
    batchId: null,
    dueAtMs,
    untilMs: dueAtMs + UNTIL_MS,
    title: `Calibrate ${where}`,
    text: `It was held against a reference ${everyDays} days ago. Between two batches, hold it in melting ice and against a thermometer that you trust: Devices, Calibrate.`,
  }
}
