import { describe, expect, it } from 'vitest'
import {
  breadth,
  doubtfulBreadth,
  isSure,
  ribbonPath,
  ribbonPlaces,
} from '../../../dashboard/vessel/ribbon-shape.ts'
import { HOUR_MS, NOW_MS, vessel } from '../room.ts'

function placesAt(nowMs: number) {
  const { batch, forecast } = vessel()
  if (!batch || !forecast) throw new Error('Cannot lay the ribbon: the vessel has no batch')
  return ribbonPlaces(batch, forecast, nowMs)
}

describe('the ribbon', () => {
  const places = placesAt(NOW_MS)
  it('lays the batch’s times in their order, all on it', () => {
    const way = [0, places.soaked, places.t10, places.t90, places.from, places.best, places.until, 1]
    expect([...way].sort((a, b) => a - b)).toEqual(way)
    expect(places.early).toBeLessThan(places.best)
    expect(places.late).toBeGreaterThan(places.best)
    expect(places.late).toBeLessThan(1)
  })
  it('grows longer for a batch that is overdue, so that now stays on it', () => {
    const overdue = placesAt(NOW_MS + 48 * HOUR_MS)
    expect(overdue.now).toBeLessThan(1)
    expect(overdue.until).toBeLessThan(places.until)
  })
  it('stays readable however late its best may be: the window is never a sliver, and the doubt runs off its end', () => {
    const { batch, forecast } = vessel()
    if (!batch || !forecast) throw new Error('Cannot lay the ribbon: the vessel has no batch')
    const { harvest } = forecast
    const p90 = new Date(NOW_MS + 240 * HOUR_MS).toISOString()
    const open = ribbonPlaces(
      batch,
      { ...forecast, harvest: { ...harvest, bestBand: { ...harvest.bestBand, p90 } } },
      NOW_MS,
    )
    expect(places.isOpen).toBe(false)
    expect(open.isOpen).toBe(true)
    expect(open.late).toBe(1)
    expect(open.until).toBeGreaterThan(0.6)
    expect(open.until - open.from).toBeGreaterThan((places.until - places.from) / 2)
  })
  it('is thin before the hatch, broadest in the harvest window, narrower after', () => {
    const thin = breadth(places.soaked, places)
    const full = breadth(places.best, places)
    expect(thin).toBeLessThan(0.25)
    expect(full).toBeGreaterThan(0.9)
    expect(breadth(places.until + 0.1, places)).toBeLessThan(full)
    for (let at = 0; at <= 1; at += 0.01) expect(breadth(at, places)).toBeLessThanOrEqual(1)
  })
  it('has a doubt around it that is never narrower than itself, and full between its ends', () => {
    // The ribbon is broadest a little after the best moment, where the last still hatch: by less than 2 %.
    for (let at = 0; at <= 1; at += 0.01)
      expect(doubtfulBreadth(at, places)).toBeGreaterThanOrEqual(breadth(at, places) - 0.02)
    for (const at of [places.early, places.best, places.late])
      expect(doubtfulBreadth(at, places)).toBeCloseTo(breadth(places.best, places), 6)
  })
  it('is drawn within its box', () => {
    const numbers =
      ribbonPath(40, at => doubtfulBreadth(at, places))
        .match(/-?\d+(\.\d+)?/g)
        ?.map(Number) ?? []
    expect(numbers.length).toBe(61 * 4)
    numbers.forEach((value, index) => {
      expect(value).toBeGreaterThanOrEqual(0)
      expect(value).toBeLessThanOrEqual(index % 2 === 0 ? 1000 : 40)
    })
  })
})

it('is firm while the doubt of the best moment is within the window, broken when it is not', () => {
  const places = placesAt(NOW_MS)
  expect(isSure({ ...places, from: 0.6, until: 0.8, early: 0.65, late: 0.75 })).toBe(true)
  expect(isSure({ ...places, from: 0.6, until: 0.8, early: 0.4, late: 0.9 })).toBe(false)
})
