import { describe, expect, it } from 'vitest'
import { RuleName } from '../../broker/rules/alarm.ts'
import { defaultRules } from '../../broker/rules/defaults.ts'
import { LIGHT_MATTERS_MS } from '../../broker/rules/light-out.ts'
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
  whole,
  withOnly,
  withRule,
} from './helpers.ts'

describe('air-lost', () => {
  it('counts litres of air against litres of water', () => {
    // 2 L at 0.05 l/min per litre need 0.1 l/min.
    const enough = new Watch()
    enough.tell(air(T0, 0.11), tick(T0 + MINUTE))
    expect(enough.said).toEqual([])
    const short = new Watch()
    const [raised] = short.tell(air(T0, 0.09), tick(T0 + MINUTE))
    expect(raised!.alarm).toMatchObject({
      rule: 'air-lost',
      value: 0.045,
      limit: 0.05,
      raisedAtMs: T0 + 15 * SECOND,
    })
    expect(raised!.alarm.text).toContain('0.09 l/min, less than the 0.1 l/min')
  })

  it('is above the minimum that is published for plants', () => {
    // 0.5 m3/h per m3 is 8.3 mL/min per litre: FAO Fisheries Technical Paper 361.
    expect(defaultRules['air-lost'].limit).toBeGreaterThan(0.5 / 60)
  })

  it.each([
    ['soaking', 'high', /delay, not a loss/],
    ['incubating', 'high', /delay, not a loss/],
    ['hatching', 'critical', /minutes count/],
    ['harvest', 'critical', /minutes count/],
    ['overdue', 'critical', /minutes count/],
  ] as const)('%s: %s', (stage, priority, words) => {
    const watch = new Watch(batchFacts(stage))
    const [raised] = watch.tell(air(T0, 0), tick(T0 + 15 * SECOND))
    expect(raised!.alarm.priority).toBe(priority)
    expect(raised!.alarm.text).toMatch(words)
  })

  it('calls again, seen or not, when the hatch begins without air', () => {
    const watch = new Watch(batchFacts('incubating'))
    watch.tell(air(T0, 0), tick(T0 + MINUTE), {
      kind: 'acknowledge',
      rule: RuleName.airLost,
      by: 'keeper',
      atMs: T0 + MINUTE,
    })
    expect(watch.alarm('air-lost')?.state).toBe('acknowledged')
    watch.facts = batchFacts('hatching')
    const [again] = watch.tell(tick(T0 + 2 * MINUTE))
    expect(again).toMatchObject({ raised: true, alarm: { state: 'unacknowledged', priority: 'critical' } })
    expect(again!.alarm.text).toMatch(/minutes count/)
    expect(watch.tell(tick(T0 + 2 * MINUTE + SECOND))).toEqual([])
  })

  it('waits for a reading that can be believed, and is then raised by that', () => {
    const watch = new Watch()
    watch.tell(air(T0, 0), air(T0 + 5 * SECOND, null, 'reported-fault'))
    expect(watch.tell(tick(T0 + 30 * SECOND))).toEqual([])
    const [raised] = watch.tell(air(T0 + 40 * SECOND, 0.01))
    expect(raised!.alarm).toMatchObject({ raisedAtMs: T0 + 40 * SECOND, value: 0.005 })
  })

  it('calls again with the last flow that could be believed', () => {
    const watch = new Watch(batchFacts('incubating'))
    watch.tell(air(T0, 0.02), tick(T0 + MINUTE), air(T0 + MINUTE, null, 'reported-fault'))
    watch.facts = batchFacts('hatching')
    expect(watch.tell(tick(T0 + 2 * MINUTE))[0]!.alarm).toMatchObject({ priority: 'critical', value: 0.01 })
  })

  it('says nothing of a vessel whose volume is no number', () => {
    for (const litres of [0, NaN, -1]) {
      const watch = new Watch({ ...batchFacts(), litres })
      watch.tell(air(T0, 0), tick(T0 + MINUTE))
      expect(watch.said).toEqual([])
    }
  })
})

describe('light-out', () => {
  it('watches the first six hours of a batch and returns to normal when they are over', () => {
    const watch = new Watch(withOnly(batchFacts(), 'light'))
    const [raised] = watch.tell(
      light(T0 + MINUTE, 12),
      light(T0 + 3 * MINUTE, 12),
      light(T0 + 5 * MINUTE, 12),
      light(T0 + 7 * MINUTE, 12),
    )
    expect(raised!.alarm).toMatchObject({
      rule: 'light-out',
      priority: 'low',
      raisedAtMs: T0 + 6 * MINUTE,
      value: 12,
    })
    watch.tell(...Array.from({ length: 180 }, (_, i) => light(T0 + 8 * MINUTE + i * 2 * MINUTE, 12)))
    const over = watch.said.filter(({ alarm }) => alarm.rule === 'light-out').at(-1)
    expect(over).toMatchObject({
      raised: false,
      alarm: { state: 'normal', reason: 'not-watched', clearedAtMs: T0 + LIGHT_MATTERS_MS },
    })
    expect(watch.raisedBy('light-out')).toBe(1)
  })

  it('ends its watch with the sixth hour although nothing else is due, and is not raised after it', () => {
    const alone = withRule('device-silent', { enabled: false })
    const standing = new Watch(batchFacts(), alone)
    standing.tell(light(T0, 12), light(T0 + HOUR, 12), light(T0 + 2 * HOUR, 12))
    expect(standing.tell(tick(T0 + 7 * HOUR))[0]!.alarm).toMatchObject({
      state: 'normal',
      clearedAtMs: T0 + LIGHT_MATTERS_MS,
    })
    const waiting = new Watch(batchFacts(), alone)
    waiting.tell(light(T0, 3000), light(T0 + LIGHT_MATTERS_MS - 2 * MINUTE, 12), tick(T0 + 7 * HOUR))
    expect(waiting.said).toEqual([])
  })

  it('does not mind darkness later', () => {
    const watch = new Watch(batchFacts('incubating', T0 - LIGHT_MATTERS_MS))
    watch.tell(light(T0, 0), light(T0 + MINUTE, 0), heard(T0 + 20 * MINUTE))
    expect(watch.raisedBy('light-out')).toBe(0)
  })
})

describe('device-silent', () => {
  it('is raised at the end of the silence exactly, and cleared when heard again', () => {
    const watch = new Watch()
    watch.tell(...whole(T0), ...whole(T0 + MINUTE))
    expect(watch.tell(tick(T0 + MINUTE + 179 * SECOND))).toEqual([])
    const [raised] = watch.tell(tick(T0 + HOUR))
    expect(raised!.alarm).toMatchObject({
      rule: 'device-silent',
      raisedAtMs: T0 + 4 * MINUTE,
      value: 180,
      limit: 180,
      reason: 'not-heard',
    })
    expect(raised!.alarm.text).toContain('3 min')
    watch.tell(...whole(T0 + HOUR))
    const [cleared] = watch.tell(tick(T0 + HOUR + 10 * SECOND))
    expect(cleared!.alarm).toMatchObject({ reason: 'heard-again', clearedAtMs: T0 + HOUR + 10 * SECOND })
  })

  it('counts from the start of the watch: a device that was off overnight is not silent at once', () => {
    const watch = new Watch(emptyVessel)
    watch.tell(heard(T0), tick(T0 + 8 * HOUR))
    watch.facts = batchFacts('soaking', T0 + 8 * HOUR)
    expect(watch.tell(tick(T0 + 8 * HOUR), tick(T0 + 8 * HOUR + 2 * MINUTE))).toEqual([])
    expect(watch.tell(tick(T0 + 8 * HOUR + 3 * MINUTE))[0]!.alarm.rule).toBe('device-silent')
  })

  it('clears and comes back at its due times when both lie between two events', () => {
    const watch = new Watch()
    watch.tell(...whole(T0), tick(T0 + 5 * MINUTE), ...whole(T0 + 6 * MINUTE))
    const said = watch.tell(heard(T0 + HOUR))
    expect(said.map(({ alarm }) => alarm.state)).toEqual([
      'return-to-normal-unacknowledged',
      'unacknowledged',
    ])
    expect(said[0]!.alarm.clearedAtMs).toBe(T0 + 6 * MINUTE + 10 * SECOND)
    // The same occurrence, as nobody had acknowledged it: the first raising counts.
    expect(said[1]!.alarm.raisedAtMs).toBe(T0 + 3 * MINUTE)
  })

  it('holds when the device spoke once and fell silent within a long off-delay', () => {
    const watch = new Watch(batchFacts(), withRule('device-silent', { offDelayMs: 10 * MINUTE }))
    watch.tell(...whole(T0), tick(T0 + 5 * MINUTE), ...whole(T0 + 6 * MINUTE), tick(T0 + HOUR))
    expect(watch.alarm('device-silent')?.state).toBe('unacknowledged')
    expect(watch.raisedBy('device-silent')).toBe(1)
  })
})
