import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { decodeMemory, encodeMemory, resumeMemory } from '../../broker/rules/memory.ts'
import {
  air,
  batchFacts,
  emptyVessel,
  heard,
  HOUR,
  MINUTE,
  SECOND,
  T0,
  tick,
  Watch,
  water,
  whole,
  withOnly,
} from './helpers.ts'

/** What the rule starts with. */
const LIMIT = 180 * SECOND
const silences = (watch: Watch) => watch.said.filter(({ alarm }) => alarm.rule === 'device-silent')

describe('a device that speaks seldom', () => {
  const every = fc.integer({ min: 1, max: 3600 })
  const slow = (everyS: number, jitter: readonly number[], many: number) =>
    Array.from({ length: many }, (_, at) => {
      const early = everyS * SECOND * 0.2 * (jitter[at % jitter.length] ?? 0)
      return T0 + Math.round(at * everyS * SECOND - early)
    })

  it('is not silent between two of its packs, and is called once when two of them and a half did not come', () => {
    fc.assert(
      fc.property(
        every,
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: 1 }),
        (s, jitter) => {
          // It speaks before the batch begins, as devices do.
          const watch = new Watch(emptyVessel)
          const times = slow(s, jitter, 12)
          for (const atMs of times.slice(0, 4)) watch.tell(...whole(atMs))
          watch.facts = batchFacts('incubating', times[4])
          for (const atMs of times.slice(4)) watch.tell(tick(atMs - 1), ...whole(atMs))
          expect(silences(watch)).toEqual([])
          const last = times.at(-1)!
          watch.tell(tick(last + 24 * HOUR))
          const [call, ...more] = silences(watch).filter(({ raised }) => raised)
          expect(more).toEqual([])
          const afterMs = call!.alarm.raisedAtMs - last
          expect(afterMs).toBeGreaterThanOrEqual(Math.max(LIMIT, 1.5 * s * SECOND))
          expect(afterMs).toBeLessThanOrEqual(Math.max(LIMIT, 3.5 * s * SECOND))
        },
      ),
      { numRuns: 300 },
    )
  })

  it.each([
    ['1 s', 1, 180],
    ['a minute', 60, 180],
    ['72 s', 72, 180],
    ['two minutes', 120, 300],
    ['ten minutes', 600, 1500],
    ['an hour', 3600, 9000],
  ])('each %s', (_, everyS, calledAfterS) => {
    const watch = new Watch(emptyVessel)
    for (let at = -5; at <= 0; at++) watch.tell(...whole(T0 + at * everyS * SECOND))
    watch.facts = batchFacts()
    watch.tell(tick(T0), tick(T0 + 24 * HOUR))
    const [call] = watch.said
    expect(call?.alarm).toMatchObject({ raisedAtMs: T0 + calledAfterS * SECOND, value: calledAfterS })
    expect(call?.alarm.text.includes('usually')).toBe(calledAfterS > 180)
  })

  it('misses a sensor by its own pace, while its device is heard each minute', () => {
    const watch = new Watch(withOnly(batchFacts(), 'water', 'air'))
    let air10 = 0
    const run = (fromM: number, toM: number, hasWater: boolean) => {
      for (let minute = fromM; minute < toM; minute++) {
        watch.tell(heard(T0 + minute * MINUTE))
        if (minute % 10 !== 0) continue
        watch.tell(air(T0 + minute * MINUTE, 1))
        air10 = minute
        if (hasWater) watch.tell(water(T0 + minute * MINUTE, 27))
      }
    }
    watch.facts = { ...watch.facts, batch: null }
    run(0, 40, true)
    watch.facts = withOnly(batchFacts('incubating', T0 + 40 * MINUTE), 'water', 'air')
    run(40, 101, true)
    expect(watch.said).toEqual([])
    run(101, 180, false)
    expect(air10).toBe(170)
    expect(silences(watch)).toMatchObject([
      { raised: true, alarm: { raisedAtMs: T0 + 125 * MINUTE, value: 1500 } },
    ])
    expect(silences(watch)[0]!.alarm.text).toMatch(
      /^No water reading .* 25 min \(one usually comes every 10 min\)/,
    )
  })

  it('is known again after a restart, and one outage makes nobody wait longer', () => {
    const watch = new Watch(emptyVessel)
    for (let at = 0; at < 4; at++) watch.tell(...whole(T0 + at * 10 * MINUTE))
    const resumed = T0 + 35 * MINUTE
    watch.memory = resumeMemory(decodeMemory('v1', encodeMemory(watch.memory)), resumed)
    watch.facts = batchFacts('incubating', resumed)
    watch.tell(tick(resumed), tick(resumed + 25 * MINUTE - 1))
    expect(watch.said).toEqual([])
    watch.tell(tick(resumed + 25 * MINUTE))
    expect(watch.raisedBy('device-silent')).toBe(1)

    const often = new Watch()
    for (let at = 0; at < 5; at++) often.tell(...whole(T0 + at * MINUTE))
    const back = T0 + 5 * HOUR
    for (let at = 0; at < 3; at++) often.tell(...whole(back + at * MINUTE))
    expect(often.raisedBy('device-silent')).toBe(1)
    often.tell(tick(back + 2 * MINUTE + LIMIT))
    expect(often.raisedBy('device-silent')).toBe(2)
  })
})
