import { describe, expect, it } from 'vitest'
import { LEAST_READINGS, REST_MS, steadiness } from '../../../broker/hatch/calibration/steady.ts'

const EVERY_MS = 10_000
/** A DS18B20 at 12 bits: its datasheet, 0.0625 °C. */
const step = (celsius: number) => Math.round(celsius / 0.0625) * 0.0625
/** Readings of a probe that follows a bath with a delay of 30 s from 25 °C. */
const cooling = (seconds: number, bathC = 0, everyMs = EVERY_MS) =>
  Array.from({ length: Math.floor((seconds * 1000) / everyMs) + 1 }, (_, at) => ({
    atMs: at * everyMs,
    valueC: step(bathC + (25 - bathC) * Math.exp((-at * everyMs) / 30_000)),
  }))

describe('a probe that comes to rest', () => {
  it('is not steady while it falls, and tells how long it still takes at the least', () => {
    const look = steadiness(cooling(90))!
    expect(look.steady).toBe(false)
    expect(look.waitMs).toBeGreaterThanOrEqual(REST_MS - EVERY_MS)
  })

  it('is steady two minutes after it came to rest, within the bath by less than its step', () => {
    const all = cooling(600)
    const first = all.findIndex((_, at) => steadiness(all.slice(0, at + 1))?.steady)
    const look = steadiness(all.slice(0, first + 1))!
    expect(all[first]!.atMs).toBeGreaterThan(200_000)
    expect(all[first]!.atMs).toBeLessThan(360_000)
    expect(Math.abs(look.meanC)).toBeLessThan(0.0625)
    expect(look.waitMs).toBe(0)
  })

  it('counts down while it rests', () => {
    const all = cooling(600)
    const first = all.findIndex((_, at) => steadiness(all.slice(0, at + 1))?.steady)
    const before = steadiness(all.slice(0, first - 2))!
    expect(before.steady).toBe(false)
    expect(before.waitMs).toBeGreaterThan(0)
    expect(before.waitMs).toBeLessThanOrEqual(60_000)
  })

  it('never calls a slow drift a rest', () => {
    // 0.1 °C a minute: a bath whose ice is gone.
    const drift = Array.from({ length: 60 }, (_, at) => ({
      atMs: at * EVERY_MS,
      valueC: step((at * 0.1) / 6),
    }))
    for (let at = 2; at <= drift.length; at++) expect(steadiness(drift.slice(0, at))!.steady).toBe(false)
  })

  it('takes a probe that wavers between neighbouring steps for one at rest', () => {
    const wavers = Array.from({ length: 20 }, (_, at) => ({ atMs: at * EVERY_MS, valueC: 0.0625 * (at % 2) }))
    expect(steadiness(wavers)).toMatchObject({ steady: true })
  })

  it('begins anew after a gap, and needs a few readings however seldom they come', () => {
    const rest = Array.from({ length: 20 }, (_, at) => ({ atMs: at * EVERY_MS, valueC: 0 }))
    const gap = [...rest, { atMs: 400_000, valueC: 0 }, { atMs: 410_000, valueC: 0 }]
    expect(steadiness(gap)!.steady).toBe(false)
    const seldom = (count: number) =>
      Array.from({ length: count }, (_, at) => ({ atMs: at * 60_000, valueC: 0 }))
    expect(steadiness(seldom(LEAST_READINGS - 1))!.steady).toBe(false)
    expect(steadiness(seldom(LEAST_READINGS))!.steady).toBe(true)
  })

  it('says nothing of no reading', () => {
    expect(steadiness([])).toBeNull()
    expect(steadiness([{ atMs: 0, valueC: 1 }])).toBeNull()
  })
})
