import type { CleaningReason } from '../hatch/care/cleaning.ts'
import type { UseBy } from '../hatch/lot/use-by.ts'
import { HOUR_MS } from '../hatch/units.ts'
import { ReminderKind, type Reminder } from './reminders.ts'

/** What the breeder's books ask to be done: held nauplii at their limit, a lot that is due for use, a vessel that is due for bleach. */

/** So long before their limit held nauplii are told of. Own choice: a feeding or two. */
const HELD_AHEAD_MS = 6 * HOUR_MS
/** What nobody did for so long is known to nobody's use any more. Own choices. */
const HELD_UNTIL_MS = 24 * HOUR_MS
const LOT_UNTIL_MS = 14 * 24 * HOUR_MS
const DISINFECT_UNTIL_MS = 7 * 24 * HOUR_MS

export interface HeldFacts {
  readonly id: string
  readonly batchId: string
  readonly vesselId: string
  readonly vesselName: string
  readonly left: number | null
  readonly untilMs: number
}

export function heldReminder({ id, batchId, vesselId, vesselName, left, untilMs }: HeldFacts): Reminder {
  const many = left === null ? 'Nauplii' : `${thousands(left)} nauplii`
  return {
    id: `${id}.${ReminderKind.heldLimit}`,
    kind: ReminderKind.heldLimit,
    vesselId,
    batchId,
    dueAtMs: untilMs - HELD_AHEAD_MS,
    untilMs: untilMs + HELD_UNTIL_MS,
    title: `Use up the nauplii of ${vesselName}`,
    text: `${many} in the refrigerator reach the end of the time for which they are known to keep. Feed them first, then throw the rest away.`,
  }
}

export interface LotFacts {
  readonly id: string
  readonly name: string
  readonly gramsLeft: number | null
  readonly useBy: UseBy
}

export function lotReminder({ id, name, gramsLeft, useBy }: LotFacts): Reminder {
  const left = gramsLeft === null ? '' : ` ${Number(gramsLeft.toFixed(1))} g of it are left.`
  const why =
    useBy.why === 'opened'
      ? 'Opened cysts keep for 3 to 4 weeks in the refrigerator.'
      : 'Its date is near or past.'
  return {
    id: `${id}.${ReminderKind.lotUseBy}.${useBy.untilMs}`,
    kind: ReminderKind.lotUseBy,
    vesselId: null,
    batchId: null,
    dueAtMs: useBy.fromMs,
    untilMs: useBy.untilMs + LOT_UNTIL_MS,
    title: `Use ${/^lot\b/iu.test(name) ? name : `the lot ${name}`} first`,
    text: `${why}${left} Use it first, or put it into the freezer and count its next harvest.`,
  }
}

export interface DisinfectFacts {
  readonly vesselId: string
  readonly vesselName: string
  readonly reason: CleaningReason
  /** When its last batch ended: from then on it can be done. */
  readonly emptySinceMs: number
}

export function disinfectReminder({ vesselId, vesselName, reason, emptySinceMs }: DisinfectFacts): Reminder {
  return {
    id: `${vesselId}.${ReminderKind.disinfect}.${emptySinceMs}`,
    kind: ReminderKind.disinfect,
    vesselId,
    batchId: null,
    dueAtMs: emptySinceMs,
    untilMs: emptySinceMs + DISINFECT_UNTIL_MS,
    title: `Disinfect ${vesselName}`,
    text: `${because(reason)} Dilute bleach after the hot water; gloves, an open window, never with acids or ammonia. Rinse and neutralise.`,
  }
}

function because(reason: CleaningReason): string {
  switch (reason.name) {
    case 'batches':
      return `${reason.batches} batches were in it since the last time.`
    case 'days':
      return `The last time was ${reason.days} days ago.`
    case 'hatch-declines':
      return `The hatch of ${reason.lot} declines: the vessel is the first suspect.`
    case 'after-batch':
      return 'Its batch has ended.'
  }
}

const thousands = (count: number): string => Number(count.toPrecision(2)).toLocaleString('en-US')
