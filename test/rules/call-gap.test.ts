import { describe, expect, it } from 'vitest'
import type { VesselEvent } from '../../broker/rules/contract.ts'
import { decodeMemory, encodeMemory } from '../../broker/rules/memory.ts'
import {
  air,
  batchFacts,
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

const lost = (): Watch => {
  const watch = new Watch(batchFacts('incubating'), withRule('device-silent', { enabled: false }))
  watch.tell(air(T0, 0), tick(T0 + 15 * SECOND))
  return watch
}
const CALLED = T0 + 15 * SECOND
const acknowledge = (atMs: number): VesselEvent => ({
  kind: 'acknowledge',
  rule: 'air-lost',
  by: 'keeper',
  atMs,
})
const lift = (atMs: number, isNew = false): VesselEvent => ({
  kind: 'lift',
  rule: 'air-lost',
  lift: { by: 'other', priority: 'critical', action: 'Run.', text: 'Cone 2 is full of nauplii. Run.' },
  isNew,
  atMs,
})

describe('an alarm that gets worse while its call waits for an answer', () => {
  it('says so at once to whoever looks, and calls again ten minutes after that call', () => {
    const watch = lost()
    watch.facts = batchFacts('hatching')
    const [told] = watch.tell(tick(T0 + 2 * MINUTE))
    expect(told).toMatchObject({
      raised: false,
      alarm: {
        state: 'unacknowledged',
        priority: 'critical',
        announcedAtMs: CALLED,
        worseSinceMs: T0 + 2 * MINUTE,
      },
    })
    expect(told!.alarm.text).toMatch(/minutes count/)
    watch.memory = decodeMemory('v1', encodeMemory(watch.memory))
    expect(watch.tell(tick(CALLED + 10 * MINUTE - 1))).toEqual([])
    expect(watch.tell(tick(CALLED + 10 * MINUTE))).toMatchObject([
      { raised: true, alarm: { announcedAtMs: CALLED + 10 * MINUTE, worseSinceMs: null } },
    ])
    expect(watch.tell(tick(CALLED + 25 * MINUTE))).toEqual([])
  })

  it('calls at once when it was answered, or when the call is older', () => {
    const answered = lost()
    answered.tell(acknowledge(T0 + MINUTE))
    answered.facts = batchFacts('hatching')
    expect(answered.tell(tick(T0 + 2 * MINUTE))).toMatchObject([{ raised: true }])
    const old = lost()
    old.facts = batchFacts('hatching')
    expect(old.tell(tick(CALLED + 10 * MINUTE))).toMatchObject([{ raised: true }])
  })

  it('does not call again when it is answered or over in between', () => {
    const answered = lost()
    answered.facts = batchFacts('hatching')
    answered.tell(tick(T0 + 2 * MINUTE), acknowledge(T0 + 3 * MINUTE), tick(T0 + 20 * MINUTE))
    expect(answered.raisedBy('air-lost')).toBe(1)
    const over = lost()
    over.facts = batchFacts('hatching')
    over.tell(tick(T0 + 2 * MINUTE), air(T0 + 3 * MINUTE, 1), air(T0 + 6 * MINUTE, 1), tick(T0 + 20 * MINUTE))
    expect(over.raisedBy('air-lost')).toBe(1)
    expect(over.alarm('air-lost')?.state).toBe('return-to-normal-unacknowledged')
  })
})

describe('the beginning of a chain', () => {
  it('takes over how loud its loudest consequence is and what it says, and keeps that when it calls again', () => {
    const watch = lost()
    const [told] = watch.tell(lift(T0 + MINUTE))
    expect(told).toMatchObject({ raised: false, alarm: { priority: 'critical', action: 'Run.', value: 0 } })
    expect(told!.alarm.text).toMatch(/^Cone 2 is full of nauplii. Run. The air into Cone 1 is 0 l.min/)
    watch.memory = decodeMemory('v1', encodeMemory(watch.memory))
    const [again] = watch.tell(tick(CALLED + 10 * MINUTE))
    expect(again).toMatchObject({ raised: true, alarm: { priority: 'critical', action: 'Run.' } })
    watch.tell(acknowledge(T0 + 11 * MINUTE))
    const [reAlarmed] = watch.tell(tick(T0 + 41 * MINUTE))
    expect(reAlarmed).toMatchObject({ raised: true, alarm: { reason: 're-alarm', action: 'Run.' } })
  })

  it('is told once when both come in one step, and loses its loudness with the alarm', () => {
    const watch = lost()
    const [told] = watch.tell(lift(CALLED, true))
    expect(told).toMatchObject({ raised: false, alarm: { priority: 'critical', worseSinceMs: null } })
    expect(watch.tell(tick(CALLED + HOUR))).toEqual([])
    watch.tell(air(T0 + HOUR, 1), air(T0 + HOUR + 3 * MINUTE, 1), acknowledge(T0 + 2 * HOUR))
    expect(watch.alarm('air-lost')).toBeNull()
    watch.tell(air(T0 + 3 * HOUR, 0), tick(T0 + 3 * HOUR + MINUTE))
    expect(watch.alarm('air-lost')).toMatchObject({ priority: 'high' })
  })

  it('keeps how loud it became when the consequence is over', () => {
    const watch = lost()
    watch.tell(lift(T0 + MINUTE), {
      kind: 'lift',
      rule: 'air-lost',
      lift: null,
      isNew: false,
      atMs: T0 + 2 * MINUTE,
    })
    expect(watch.alarm('air-lost')?.priority).toBe('critical')
  })

  it('calls at once out of a shelf for what is worse than was shelved', () => {
    const watch = lost()
    watch.tell({
      kind: 'shelve',
      rule: 'air-lost',
      by: 'keeper',
      untilMs: T0 + 2 * HOUR,
      once: false,
      atMs: T0 + MINUTE,
    })
    expect(watch.tell(lift(T0 + 2 * MINUTE))).toMatchObject([
      { raised: true, alarm: { state: 'unacknowledged', priority: 'critical' } },
    ])
  })
})

describe('lost air before the hatch', () => {
  it('lets a vessel with nauplii be heard first, where there is one, and not where it has its own', () => {
    const watch = new Watch({ ...batchFacts('incubating'), naupliiElsewhere: true })
    watch.tell(air(T0, 0), air(T0 + 30 * SECOND, 0), tick(T0 + 75 * SECOND - 1))
    expect(watch.said).toEqual([])
    expect(watch.tell(tick(T0 + 75 * SECOND))).toMatchObject([{ alarm: { raisedAtMs: T0 + 75 * SECOND } }])
    const hatched = new Watch({ ...batchFacts('harvest'), naupliiElsewhere: true })
    expect(hatched.tell(air(T0, 0), tick(T0 + 15 * SECOND))).toHaveLength(1)
  })
})

describe('a second sensor that falls silent', () => {
  /** Every ten seconds all but these. */
  const without = (lost: readonly string[], fromMs: number, toMs: number): VesselEvent[] => {
    const events: VesselEvent[] = []
    for (let at = fromMs; at <= toMs; at += 10 * SECOND) {
      events.push(heard(at))
      if (!lost.includes('water')) events.push(water(at, 27))
      if (!lost.includes('air')) events.push(air(at, 1))
      if (!lost.includes('light')) events.push(light(at, 3000))
    }
    return events
  }
  const calls = (watch: Watch) =>
    watch.said.filter(({ raised }) => raised).map(({ alarm }) => alarm.announcedAtMs! - T0)

  it('is a new call, which names both', () => {
    const watch = new Watch()
    watch.tell(...without([], T0, T0), ...without(['water'], T0 + 10 * SECOND, T0 + HOUR))
    watch.tell(...without(['water', 'air'], T0 + HOUR + 10 * SECOND, T0 + HOUR + 10 * MINUTE))
    expect(calls(watch)).toEqual([3 * MINUTE, HOUR + 3 * MINUTE])
    expect(watch.alarm('device-silent')?.text).toMatch(/^No water or air reading/)
    watch.tell(tick(T0 + HOUR + 10 * MINUTE + 180 * SECOND))
    expect(calls(watch).slice(2)).toEqual([HOUR + 13 * MINUTE])
    expect(watch.alarm('device-silent')?.text).toMatch(/^Nothing was heard from the device/)
    expect(watch.tell(tick(T0 + 9 * HOUR))).toEqual([])
  })

  it('so soon after the first is told to whoever looks, and called for when ten minutes are over', () => {
    const watch = new Watch()
    watch.tell(...without([], T0, T0), ...without(['water'], T0 + 10 * SECOND, T0 + 3 * MINUTE))
    watch.tell(...without(['water', 'air'], T0 + 3 * MINUTE + 10 * SECOND, T0 + 20 * MINUTE))
    expect(watch.said).toMatchObject([
      { raised: true, alarm: { announcedAtMs: T0 + 3 * MINUTE } },
      { raised: false, alarm: { worseSinceMs: T0 + 6 * MINUTE } },
      { raised: true, alarm: { announcedAtMs: T0 + 13 * MINUTE } },
    ])
    expect(watch.said[1]!.alarm.text).toMatch(/^No water or air reading/)
  })

  it('that is heard again before that is no second call', () => {
    const watch = new Watch()
    watch.tell(...without([], T0, T0), ...without(['water'], T0 + 10 * SECOND, T0 + 3 * MINUTE))
    watch.tell(...without(['water', 'air'], T0 + 3 * MINUTE + 10 * SECOND, T0 + 8 * MINUTE))
    watch.tell(...without(['water'], T0 + 8 * MINUTE + 10 * SECOND, T0 + 20 * MINUTE))
    expect(calls(watch)).toEqual([3 * MINUTE])
    expect(watch.alarm('device-silent')?.text).toMatch(/^No water reading/)
  })

  it('that failed with the first is named with it and never told anew', () => {
    const watch = new Watch()
    watch.tell(...without([], T0, T0), ...without(['water'], T0 + 10 * SECOND, T0 + MINUTE))
    watch.tell(...without(['water', 'air'], T0 + 70 * SECOND, T0 + HOUR))
    expect(calls(watch)).toEqual([3 * MINUTE])
    expect(watch.alarm('device-silent')?.text).toMatch(/^No water or air reading/)
  })
})
