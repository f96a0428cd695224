// A share of `npm run skill`: every bar is judged by what a smaller number of batches can say about it.
import { beforeAll, describe, expect, it } from 'vitest'
import { binomialLimits } from './binomial.ts'
import { figuresOf, medianOf } from './figures.ts'
import { playSeason, type Scored } from './season.ts'
import { indoorCourse, outdoorTemperatures } from './weather.ts'

const LOTS = 14
/** Chance of failing a test by bad luck alone, for each bar. */
const BAD_LUCK = 0.002

describe('a season of lots, rooms and vessels that the forecast does not know', () => {
  let scored: Scored[] = []
  const of = (name: string) => figuresOf(scored).find(one => one.name === name)!
  beforeAll(() => {
    scored = playSeason({ lots: LOTS, seed: 11 })
  }, 120_000)

  it('holds its 80 % band as often as is allowed', () => {
    expect(scored).toHaveLength(5 * LOTS)
    // A true rate anywhere from 75 to 85 % is meant; limits of what is seen of it.
    const held = scored.filter(one => one.held).length
    const [low, high] = binomialLimits(held, scored.length, BAD_LUCK)
    expect(low).toBeLessThan(0.85)
    expect(high).toBeGreaterThan(0.75)
  })

  it('is right within an hour half of the time once a lot was counted twice', () => {
    // The median is at most 1 h if at least half of the errors are; binomial limit of what is seen.
    const known = scored.filter(one => one.countedBefore >= 2)
    const within = known.filter(one => Math.abs(one.errorH) <= 1).length
    expect(binomialLimits(within, known.length, BAD_LUCK)[1]).toBeGreaterThan(0.5)
    expect(medianOf(known.map(one => Math.abs(one.errorH)))).toBeLessThan(1.6)
  })

  it('has the true best hour in its harvest window', () => {
    const hits = scored.filter(one => one.windowHit).length
    expect(binomialLimits(hits, scored.length, BAD_LUCK)[1]).toBeGreaterThan(0.9)
    expect(of('all').foodAtBest).toBeGreaterThan(0.85)
  })

  it('knows a counted lot better than one never seen, and says so', () => {
    const unseen = of('lot never seen')
    const counted = of('counted twice or more')
    expect(counted.bandH).toBeLessThan(unseen.bandH / 3)
    expect(counted.medianErrorH).toBeLessThan(unseen.medianErrorH)
    expect(counted.windowH).toBeLessThan(unseen.windowH)
  })

  it('lies on both sides of the truth', () => {
    const early = scored.filter(one => one.errorH < 0).length
    const [low, high] = binomialLimits(early, scored.length, BAD_LUCK)
    expect(low).toBeLessThan(0.6)
    expect(high).toBeGreaterThan(0.4)
  })
})

describe('a room without heating control', () => {
  it('follows the weather, damped and late', () => {
    const outdoorC = outdoorTemperatures()
    const fromHour = 200 * 24
    const course = indoorCourse(outdoorC, { fromHour, hours: 72, meanC: 21, lagH: 12 })
    const room = course.map(turn => turn.to)
    const outside = outdoorC.slice(fromHour, fromHour + 72)
    const swing = (values: readonly number[]) => Math.max(...values) - Math.min(...values)
    expect(room.reduce((a, b) => a + b) / 72).toBeCloseTo(21, 9)
    // A first-order lag of 12 h lets 1 / sqrt(1 + (2π 12 / 24)²) = 0.30 of a day's swing through.
    expect(swing(room) / swing(outside)).toBeGreaterThan(0.2)
    expect(swing(room) / swing(outside)).toBeLessThan(0.45)
    const warmest = (values: readonly number[]) => values.indexOf(Math.max(...values.slice(24, 48)))
    expect(warmest(room)).toBeGreaterThan(warmest(outside))
  })
})
