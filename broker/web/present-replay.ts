import type { JournalEntry } from '../room/alarm-journal.ts'
import type { ExpectedThen } from '../room/expected-then.ts'
import type { BatchEvent } from '../room/event-contract.ts'
import type { BatchForecastView } from '../room/views.ts'
import type { SettingsThen } from '../room/settings-then.ts'
import type { HatchCourse } from '../hatch/course.ts'
import { type Reminder, ReminderKind, remindersOf } from '../rules/reminders.ts'
import type { BatchRow, Columns, Role, VesselRow } from '../store/contract.ts'
import type { Replay } from './api/replay.ts'
import type { CalledOf } from './calling.ts'
import * as present from './present-batch.ts'
import { journalEntry } from './present-journal.ts'
import { iso } from './times.ts'

export interface ReplayParts {
  readonly batch: BatchRow
  readonly vessel: Pick<VesselRow, 'id' | 'name' | 'litres'> | null
  readonly fromMs: number
  readonly toMs: number
  readonly columns: Partial<Record<Role, Columns>>
  readonly course: HatchCourse
  readonly forecast: BatchForecastView
  readonly expected: ExpectedThen
  readonly entries: readonly JournalEntry[]
  readonly told: readonly CalledOf[]
  readonly settings: readonly SettingsThen[]
  readonly events: readonly BatchEvent[]
  /** Since when the batch was known here, Unix ms: what fell due before was asked of nobody. */
  readonly knownSinceMs: number
}

/** A batch looked at again, as the API gives it. */
export function replay(of: ReplayParts): Replay {
  const { batch, vessel, fromMs, toMs, columns, course, forecast, expected, entries, told, events } = of
  const concerned = entries.filter(
    ({ alarm }) => alarm.vesselId === null || alarm.vesselId === batch.vesselId,
  )
  return {
    batch: present.batch(batch),
    vessel: vessel && { id: vessel.id, name: vessel.name, litres: vessel.litres },
    from: iso(fromMs),
    to: iso(toMs),
    channels: Object.fromEntries(Object.entries(columns).map(([role, column]) => [role, short(column)])),
    course: shortCourse(present.course(course)),
    forecast: present.forecast(forecast),
    expectedWaterC: {
      t: expected.t.map(Math.round),
      p10: expected.p10.map(thousandths),
      p50: expected.p50.map(thousandths),
      p90: expected.p90.map(thousandths),
    },
    limits: of.settings.map(({ fromMs, rules }) => ({
      from: iso(fromMs),
      waterTooHotC: rules['water-too-hot'].limit,
      waterTooCoolC: rules['water-too-cool'].limit,
      airLpmPerL: rules['air-lost'].limit,
      lightLx: rules['light-out'].limit,
    })),
    alarms: concerned.map(entry => journalEntry(entry, told)).reverse(),
    events: events.filter(({ withdrawnAtMs }) => withdrawnAtMs === null).map(present.batchEvent),
    reminders: asked(of).map(({ kind, title, text, dueAtMs }) => ({ kind, title, text, due: iso(dueAtMs) })),
  }
}

/** No sensor tells more; written out, the digits of a mean would be half of the answer. */
const thousandths = (value: number): number => Math.round(value * 1000) / 1000

function short({ t, min, max, mean }: Columns) {
  return {
    t: [...t],
    min: min.map(thousandths),
    max: max.map(thousandths),
    mean: mean.map(thousandths),
  }
}

type Course = Replay['course']

function shortCourse({ t, hatched, usable, waterC }: Course): Course {
  const column = (values: readonly (number | null)[]) =>
    values.map(value => (value === null ? null : thousandths(value)))
  const band = ({ p10, p50, p90 }: Course['hatched']) => ({
    p10: column(p10),
    p50: column(p50),
    p90: column(p90),
  })
  return { t, hatched: band(hatched), usable: band(usable), waterC: band(waterC) }
}

/** What the batch itself asked for while it was open, and known. */
function asked({ batch, vessel, toMs, forecast, knownSinceMs }: ReplayParts): Reminder[] {
  return remindersOf({
    vesselId: batch.vesselId,
    vesselName: vessel?.name ?? 'the vessel',
    batch: { id: batch.id, startedAtMs: batch.startedAtMs, endedAtMs: null },
    forecast: forecast.reachesHatch
      ? {
          firstHatchMs: forecast.t10.p50,
          allHatchedMs: forecast.t90.p50,
          harvestFromMs: forecast.harvest.fromMs,
          harvestBestMs: forecast.harvest.bestMs,
          harvestUntilMs: forecast.harvest.untilMs,
        }
      : null,
  })
    .filter(({ kind, untilMs }) => kind !== ReminderKind.cleaning && untilMs > knownSinceMs)
    .map(reminder => ({ ...reminder, dueAtMs: Math.max(reminder.dueAtMs, knownSinceMs) }))
    .filter(({ dueAtMs }) => dueAtMs <= toMs)
}
