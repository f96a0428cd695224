import { describe, expect, it } from 'vitest'
import type { RuleName } from '../../broker/rules/alarm.ts'
import {
  air,
  batchFacts,
  emptyVessel,
  heard,
  HOUR,
  light,
  MINUTE,
  SECOND,
  T0,
  tick,
  Watch,
  water,
  withRule,
} from './helpers.ts'

describe('a vessel that is not watched', () => {
  it('never alarms for a role without a channel', () => {
    const watch = new Watch({ ...batchFacts(), assigned: { water: false, air: false, light: false } })
    watch.tell(
      water(T0, 40),
      air(T0, 0),
      light(T0, 0),
      water(T0 + 1, null, 'disconnected'),
      tick(T0 + 5 * HOUR),
    )
    expect(watch.said).toEqual([])
  })

  it('never alarms for a rule that is switched off, and returns what stood to normal', () => {
    const watch = new Watch()
    watch.tell(water(T0, 31), heard(T0 + 10))
    watch.settings = withRule('water-too-hot', { enabled: false })
    const [off] = watch.tell(tick(T0 + SECOND))
    expect(off!.alarm).toMatchObject({ state: 'normal', reason: 'not-watched', clearedAtMs: T0 + SECOND })
    expect(watch.tell(water(T0 + 2 * SECOND, 32))).toEqual([])
  })

  it('returns to normal when its channel is taken away', () => {
    const watch = new Watch()
    watch.tell(water(T0, 31), heard(T0 + 10))
    watch.facts = { ...watch.facts, assigned: { water: false, air: true, light: true } }
    expect(watch.tell(tick(T0 + SECOND))[0]!.alarm).toMatchObject({ state: 'normal', reason: 'not-watched' })
  })
})

describe('the end of a batch', () => {
  const troubled = () => {
    const watch = new Watch(batchFacts('harvest'))
    watch.tell(water(T0, 31), air(T0, 0), light(T0, 0), tick(T0 + 5 * MINUTE))
    return watch
  }

  it('returns the batch’s alarms to normal and leaves the heat alone', () => {
    const watch = troubled()
    watch.facts = emptyVessel
    const ended = watch.tell(tick(T0 + 10 * MINUTE))
    expect(ended.map(({ alarm }) => alarm.rule).sort()).toEqual(['air-lost', 'device-silent', 'light-out'])
    for (const { alarm, raised } of ended) {
      expect(raised).toBe(false)
      expect(alarm).toMatchObject({ state: 'normal', reason: 'batch-ended', clearedAtMs: T0 + 10 * MINUTE })
    }
    expect(watch.alarm('water-too-hot')?.state).toBe('unacknowledged')
  })

  it('holds too when the next batch follows with no event between', () => {
    const watch = troubled()
    watch.facts = batchFacts('soaking', T0 + 10 * MINUTE)
    expect(watch.tell(tick(T0 + 10 * MINUTE)).map(({ alarm }) => alarm.reason)).toEqual([
      'batch-ended',
      'batch-ended',
      'batch-ended',
    ])
    // The new batch is judged from its own readings.
    expect(watch.tell(air(T0 + 11 * MINUTE, 1), tick(T0 + 12 * MINUTE))).toEqual([])
    watch.tell(air(T0 + 12 * MINUTE, 0))
    expect(watch.tell(tick(T0 + 12 * MINUTE + 15 * SECOND))[0]!.alarm.id).not.toBe('a0')
    expect(watch.raisedBy('air-lost')).toBe(2)
  })
})

/** Rules that need no more than readings to be raised; those that look ahead have their own tests. */
const FROM_READINGS: readonly RuleName[] = [
  'air-lost',
  'device-silent',
  'light-out',
  'probe-fault',
  'water-too-cool',
  'water-too-hot',
]

describe('every text', () => {
  it('tells the vessel and a first thing to do, and no clock time', () => {
    const watch = new Watch(batchFacts('harvest'))
    watch.tell(water(T0, 31), air(T0, 0), light(T0, 0), tick(T0 + 10 * MINUTE))
    watch.tell(
      water(T0 + 10 * MINUTE, 20),
      tick(T0 + HOUR),
      water(T0 + HOUR, 85, 'power-on'),
      tick(T0 + HOUR + 2 * MINUTE),
    )
    const texts = new Map(
      watch.said.filter(({ raised }) => raised).map(({ alarm }) => [alarm.rule, alarm.text]),
    )
    expect([...texts.keys()].sort()).toEqual(FROM_READINGS)
    for (const text of texts.values()) {
      expect(text).toContain('Cone 1')
      expect(text).not.toMatch(/\d{1,2}:\d{2}/)
      expect(text).not.toMatch(/NaN|undefined|null/)
      expect(text.length).toBeLessThan(360)
    }
  })

  it('says the first thing to do in one short sentence, which its text has too, and then goes on', () => {
    const unhatched = new Watch(batchFacts('incubating'))
    unhatched.tell(air(T0, 0), tick(T0 + MINUTE))
    const hatched = new Watch(batchFacts('harvest'))
    hatched.tell(water(T0, 31), air(T0, 0), light(T0, 0), tick(T0 + 10 * MINUTE))
    hatched.tell(water(T0 + 10 * MINUTE, 20), tick(T0 + HOUR))
    hatched.tell(water(T0 + HOUR, 85, 'power-on'), tick(T0 + HOUR + 2 * MINUTE))
    const alarms = [...unhatched.said, ...hatched.said].filter(({ raised }) => raised)
    expect(new Set(alarms.map(({ alarm }) => alarm.rule)).size).toBe(FROM_READINGS.length)
    for (const { alarm } of alarms) {
      expect(alarm.action).toMatch(/^[A-Z][^.!?]{14,60}\.$/)
      expect(alarm.action).not.toMatch(/\d|Cone/)
      expect(alarm.text.indexOf(alarm.action)).toBeGreaterThan(20)
      // No action without what is to be minded.
      expect(alarm.text.length - alarm.text.indexOf(alarm.action) - alarm.action.length).toBeGreaterThan(20)
    }
  })
})
