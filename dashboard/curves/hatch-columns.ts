import type { BatchEvent, Course } from '../../broker/web/api/events.ts'
import type { Vessel } from '../../broker/web/api/vessels.ts'
import { percent } from '../words/hatch.ts'
import { naupliiByCount } from '../words/seen.ts'

/** Seconds, then the share out (middle, low, high) and the food left in it, per cent: as the plot takes them. */
export type HatchData = [
  x: number[],
  middle: (number | null)[],
  low: (number | null)[],
  high: (number | null)[],
  food: (number | null)[],
]

const perCent = (column: readonly (number | null)[]) =>
  column.map(share => (share === null ? null : share * 100))

/** The course for the plot; nulls stay nulls, so that a gap is a gap. */
export function hatchColumns(course: Course | null): HatchData {
  if (!course) return [[], [], [], [], []]
  const { hatched, usable } = course
  return [
    course.t.map(atMs => atMs / 1000),
    perCent(hatched.p50),
    perCent(hatched.p10),
    perCent(hatched.p90),
    perCent(usable.p50),
  ]
}

/** What the curve says at one of its moments: `about 40 % out (25–60), food 80 %`. */
export function hatchText(course: Course | null, index: number): string {
  const p10 = course?.hatched.p10[index] ?? null
  const p50 = course?.hatched.p50[index] ?? null
  const p90 = course?.hatched.p90[index] ?? null
  if (p10 === null || p50 === null || p90 === null) return ''
  const band = { p10, p90 }
  const low = percent(p10, band)
  const high = percent(p90, band)
  const span = low === high ? '' : ` (${low}–${high})`
  const food = course?.usable.p50[index] ?? null
  return `${percent(p50, band)} % out${span}${food === null ? '' : `, food ${Math.round(food * 100)} %`}`
}

/** Something that was seen, on the curve: the first swimmers at its foot, a count at the share that it found. */
export interface HatchMark {
  readonly kind: 'first-swimmers' | 'count'
  readonly atMs: number
  /** Per cent of the number expected in the end; `null` when a count cannot be placed. */
  readonly outPercent: number | null
}

/** What stands of the log, as marks. A count that finds more than was expected in the end stands at the top. */
export function marksOf(events: readonly BatchEvent[], vessel: Vessel | null): HatchMark[] {
  const { batch, forecast } = vessel ?? {}
  return events.flatMap((event): HatchMark[] => {
    if (event.withdrawnAt !== null) return []
    const atMs = Date.parse(event.at)
    if (event.kind === 'first-swimmers') return [{ kind: event.kind, atMs, outPercent: 0 }]
    if (event.kind !== 'count') return []
    const found = batch
      ? naupliiByCount(event.samples, { litres: batch.litres, drawnOffMl: event.drawnOffMl })
      : null
    const inTheEnd = forecast?.nauplii.p50 ?? 0
    const outPercent = found === null || inTheEnd <= 0 ? null : Math.min(100, (found / inTheEnd) * 100)
    return [{ kind: event.kind, atMs, outPercent }]
  })
}
