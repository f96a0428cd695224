import fc from 'fast-check'
import { expect, it } from 'vitest'
import { withinHours } from '../../broker/notify/hours.ts'

const HOUR_MS = 3_600_000
const MINUTE_MS = 60_000

/**
 * Offsets from UTC in 2026, hours, each from its moment on. Europe: Directive 2000/84/EC, articles 2 and 3 (last Sundays of March
 * and October, 01:00 UTC). United States: 15 U.S.C. 260a (second Sunday of March, first of November, 2 a.m. local). Australia: from
 * memory, first Sundays of April and October, 2 and 3 a.m. local. India has no summer time.
 */
const ZONES: Record<string, [from: string, hours: number][]> = {
  'Europe/Vienna': [
    ['2026-01-01T00:00Z', 1],
    ['2026-03-29T01:00Z', 2],
    ['2026-10-25T01:00Z', 1],
  ],
  'America/New_York': [
    ['2026-01-01T00:00Z', -5],
    ['2026-03-08T07:00Z', -4],
    ['2026-11-01T06:00Z', -5],
  ],
  'Australia/Sydney': [
    ['2026-01-01T00:00Z', 11],
    ['2026-04-04T16:00Z', 10],
    ['2026-10-03T16:00Z', 11],
  ],
  'Asia/Kolkata': [['2026-01-01T00:00Z', 5.5]],
}

/** Minutes since midnight on the wall, by the table above alone. */
function onTheWall(zone: string, atMs: number): number {
  const offset = ZONES[zone]!.findLast(([from]) => Date.parse(from) <= atMs)![1]
  return Math.floor((atMs + offset * HOUR_MS) / MINUTE_MS) % 1440
}
const text = (minutes: number) =>
  `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`

const moment = fc.oneof(
  fc.integer({ min: Date.parse('2026-01-02T00:00Z'), max: Date.parse('2026-12-30T00:00Z') }),
  // Around each change of the clocks, to the second.
  fc
    .constantFrom(
      ...Object.values(ZONES).flatMap(changes => changes.slice(1).map(([from]) => Date.parse(from))),
    )
    .chain(at => fc.integer({ min: -3 * 3600, max: 3 * 3600 }).map(seconds => at + seconds * 1000)),
)
const minutes = fc.integer({ min: 0, max: 1439 })

it('hours hold by the clock on the wall, over midnight and whenever the clocks are changed', () => {
  fc.assert(
    fc.property(fc.constantFrom(...Object.keys(ZONES)), minutes, minutes, moment, (zone, from, to, atMs) => {
      const now = onTheWall(zone, atMs)
      const inside = from === to || (from < to ? from <= now && now < to : now >= from || now < to)
      expect(withinHours({ from: text(from), to: text(to), zone }, atMs)).toBe(inside)
    }),
    { numRuns: 2000 },
  )
})
