import { describe, expect, it } from 'vitest'
import type { BatchEvent, Course } from '../../../broker/web/api/events.ts'
import { backdropOf, reachOf, waterAhead } from '../../../dashboard/curves/backdrop.ts'
import { hatchColumns, hatchText, marksOf } from '../../../dashboard/curves/hatch-columns.ts'
import { HOUR_MS, iso, NOW_MS, settings, vessel } from '../room.ts'

const band = <T>(p10: T[], p50: T[], p90: T[]) => ({ p10, p50, p90 })
const course: Course = {
  t: [NOW_MS - HOUR_MS, NOW_MS, NOW_MS + HOUR_MS, NOW_MS + 2 * HOUR_MS],
  hatched: band<number | null>([0, 0.2, null, 0.6], [0, 0.4, null, 0.8], [0.1, 0.6, null, 0.9]),
  usable: band<number | null>([0, 0.2, null, 0.5], [0, 0.41, null, 0.9], [0.1, 0.6, null, 1]),
  waterC: band<number | null>([null, 27, 26.5, 26], [null, 27, 27, 27], [null, 27, 27.5, 28.2]),
}

describe('the hatched curve', () => {
  it('is in seconds and per cent, and keeps its gaps', () => {
    const [x, middle, low, high, food] = hatchColumns(course)
    expect(x[1]).toBe(NOW_MS / 1000)
    expect(middle).toEqual([0, 40, null, 80])
    expect(low[3]).toBe(60)
    expect(high[3]).toBe(90)
    expect(food[1]).toBe(41)
    expect(hatchColumns(null)).toEqual([[], [], [], [], []])
  })
  it('says its moments, and nothing in a gap', () => {
    expect(hatchText(course, 1)).toBe('40 % out (20–60), food 41 %')
    expect(hatchText(course, 2)).toBe('')
    expect(hatchText(null, 0)).toBe('')
  })
  it('marks what was seen and stands, a count where it found the share to be', () => {
    const at = iso(NOW_MS)
    const kept = { batchId: 'b1', at, recordedAt: at, by: 'Ada', withdrawnAt: null }
    const events: BatchEvent[] = [
      { ...kept, id: '1', kind: 'first-swimmers' },
      { ...kept, id: '2', kind: 'note', text: 'ring down' },
      {
        ...kept,
        id: '3',
        kind: 'count',
        harvest: false,
        estimate: null,
        samples: [{ sampleMl: 1, nauplii: 100 }],
      },
      {
        ...kept,
        id: '4',
        kind: 'count',
        harvest: false,
        estimate: null,
        samples: [{ sampleMl: 1, nauplii: 9 }],
        withdrawnAt: at,
      },
    ]
    const base = vessel()
    if (!base.batch || !base.forecast) throw new Error('Cannot mark: the vessel has no batch')
    const given = {
      ...base,
      batch: { ...base.batch, litres: 2 },
      forecast: { ...base.forecast, nauplii: { p10: 300_000, p50: 400_000, p90: 500_000 } },
    }
    expect(marksOf(events, given)).toEqual([
      { kind: 'first-swimmers', atMs: NOW_MS, outPercent: 0 },
      { kind: 'count', atMs: NOW_MS, outPercent: 50 },
    ])
    expect(marksOf(events, null).map(({ outPercent }) => outPercent)).toEqual([0, null])
  })
})

describe('the water that is expected', () => {
  const same = (waterC: number) => waterC
  it('begins now, and leaves out what is not known', () => {
    const ahead = waterAhead(vessel(), course, NOW_MS, same)
    expect(ahead?.t).toEqual(course.t.slice(1))
    expect(ahead?.high).toEqual([27, 27.5, 28.2])
  })
  it('stands in with the forecast’s own figures before a course is known', () => {
    const ahead = waterAhead(vessel(), null, NOW_MS, same)
    expect(ahead?.t[0]).toBe(NOW_MS)
    expect(ahead?.low).toEqual([26.8, 26.8])
    expect(waterAhead(vessel({ forecast: null }), null, NOW_MS, same)).toBeNull()
  })
  it('fits on its axis as far as the window goes', () => {
    const ahead = waterAhead(vessel(), course, NOW_MS, same)
    const reach = (hours: number, range: [number, number]) =>
      reachOf(range, { ahead }, { fromMs: NOW_MS, toMs: NOW_MS + hours * HOUR_MS })
    expect(reach(1, [26.6, 27.4])).toEqual([26.5, 27.5])
    expect(reach(3, [25, 28])).toEqual([25, 28.2])
    // A runaway would press the measured line flat.
    const [low, high] = reach(3, [26.5, 27.5])
    expect(low).toBe(26)
    expect(high).toBe(28)
  })
  it('is marked where it would cross the limit', () => {
    const base = vessel()
    if (!base.forecast) throw new Error('Cannot mark: the vessel has no forecast')
    const at = { p10: iso(NOW_MS + HOUR_MS), p50: iso(NOW_MS + 2 * HOUR_MS), p90: null }
    const heading = { ...base, forecast: { ...base.forecast, heading: { limitC: 29.4, at } } }
    const fahrenheit = { ...settings(), temperatureUnit: 'F' as const }
    const { crossing } = backdropOf('water', heading, course, fahrenheit, NOW_MS)
    expect(crossing).toMatchObject({ earlyMs: NOW_MS + HOUR_MS, atMs: NOW_MS + 2 * HOUR_MS, lateMs: null })
    expect(crossing?.value).toBeCloseTo(84.92, 6)
    expect(backdropOf('water', base, course, fahrenheit, NOW_MS).crossing).toBeNull()
    expect(backdropOf('air', heading, course, fahrenheit, NOW_MS).crossing).toBeNull()
  })
})
