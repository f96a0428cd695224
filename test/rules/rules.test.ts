import { describe, expect, it } from 'vitest'
import { Quality } from '../../broker/intake/reading.ts'
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
  water,
  withRule,
} from './helpers.ts'

describe('water-too-hot', () => {
  it('is raised by the very reading that crosses the limit, with or without a batch', () => {
    for (const facts of [batchFacts(), emptyVessel]) {
      const watch = new Watch(facts)
      expect(watch.tell(water(T0, 29.4))).toEqual([])
      const [transition] = watch.tell(water(T0 + SECOND, 29.44))
      expect(transition).toMatchObject({
        raised: true,
        alarm: {
          rule: 'water-too-hot',
          state: 'unacknowledged',
          priority: 'critical',
          reason: 'above-limit',
        },
      })
      expect(transition!.alarm).toMatchObject({ raisedAtMs: T0 + SECOND, value: 29.44, limit: 29.4 })
    }
  })

  it('says both scales, tells value from limit, and what to do first without harm', () => {
    const watch = new Watch()
    const text = watch.tell(water(T0, 29.44))[0]!.alarm.text
    expect(text).toContain('Cone 1 is 29.44 °C (84.99 °F)')
    expect(text).toContain('29.40 °C (84.92 °F)')
    expect(text).toMatch(/dry plug/)
    expect(new Watch().tell(water(T0, 31))[0]!.alarm.text).toContain(
      '31.0 °C (87.8 °F), above its limit of 29.4 °C (84.9 °F)',
    )
  })

  it('clears a minute after the water is back by the deadband, and not before', () => {
    const watch = new Watch()
    watch.tell(water(T0, 30), water(T0 + MINUTE, 29.2))
    expect(watch.tell(tick(T0 + HOUR)).filter(({ alarm }) => alarm.rule === RuleName.waterTooHot)).toEqual([])
    watch.tell(water(T0 + HOUR, 29.1))
    const cleared = watch
      .tell(water(T0 + 2 * HOUR, 27))
      .find(({ alarm }) => alarm.rule === RuleName.waterTooHot)
    expect(cleared).toMatchObject({
      raised: false,
      alarm: {
        state: 'return-to-normal-unacknowledged',
        clearedAtMs: T0 + HOUR + MINUTE,
        reason: 'back-within-limit',
      },
    })
  })

  it.each(Object.values(Quality).filter(quality => quality !== Quality.good))(
    'is neither raised nor cleared by a value that is %s',
    quality => {
      const watch = new Watch(emptyVessel)
      watch.tell(water(T0, 85, quality), water(T0 + SECOND, NaN), water(T0 + 2 * SECOND, null))
      expect(watch.alarm('water-too-hot')).toBeNull()
      watch.tell(water(T0 + 3 * SECOND, 30), water(T0 + 4 * SECOND, 20, quality), tick(T0 + HOUR))
      expect(watch.alarm('water-too-hot')?.state).toBe('unacknowledged')
      // A clearing that has begun waits for a value that can be believed.
      watch.tell(water(T0 + HOUR, 27), water(T0 + HOUR + SECOND, 27, quality), tick(T0 + 2 * HOUR))
      expect(watch.alarm('water-too-hot')?.state).toBe('unacknowledged')
    },
  )
})

describe('water-too-cool', () => {
  it('waits a quarter of an hour, is low, and says slower, not dead', () => {
    const watch = new Watch()
    const minutes = Array.from({ length: 21 }, (_, i) => water(T0 + i * MINUTE, 22))
    const raised = watch.tell(...minutes)
    expect(raised).toHaveLength(1)
    expect(raised[0]!.alarm).toMatchObject({
      rule: 'water-too-cool',
      priority: 'low',
      raisedAtMs: T0 + 15 * MINUTE,
      value: 22,
      limit: 24,
    })
    expect(raised[0]!.alarm.text).toContain('22.0 °C (71.6 °F)')
    expect(raised[0]!.alarm.text).toContain('slower, not dead')
  })

  it('does not mind an empty vessel', () => {
    const watch = new Watch(emptyVessel)
    watch.tell(water(T0, 15), water(T0 + MINUTE, 15), tick(T0 + HOUR))
    expect(watch.said).toEqual([])
  })

  it('is not put off by single bad readings in between', () => {
    const watch = new Watch()
    for (let i = 0; i <= 20; i++) {
      watch.tell(water(T0 + i * MINUTE, 22), water(T0 + i * MINUTE + 30 * SECOND, null, 'reported-fault'))
    }
    expect(watch.raisedBy('water-too-cool')).toBe(1)
    expect(watch.raisedBy('probe-fault')).toBe(0)
  })
})

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
    const watch = new Watch(batchFacts())
    const [raised] = watch.tell(
      light(T0 + MINUTE, 12),
      heard(T0 + 3 * MINUTE),
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

describe('probe-fault', () => {
  it.each([
    [Quality.powerOn, 85, /losing its supply/],
    [Quality.disconnected, -127, /does not answer/],
    [Quality.allZero, 0, /nothing but zeros/],
    [Quality.outOfRange, 300, /cannot have/],
    [Quality.frozen, 27, /very same value/],
    [Quality.outOfWater, 22, /hung in the air/],
    [Quality.reportedFault, null, /cannot be read/],
    [Quality.good, NaN, /no number/],
  ])('names %s after a minute, in an empty vessel too', (quality, value, words) => {
    const watch = new Watch(emptyVessel)
    expect(watch.tell(water(T0, value, quality), water(T0 + 59 * SECOND, value, quality))).toEqual([])
    const [raised] = watch.tell(tick(T0 + MINUTE))
    expect(raised).toMatchObject({
      raised: true,
      alarm: { rule: 'probe-fault', reason: 'bad-quality', value: null, limit: null },
    })
    expect(raised!.alarm.text).toMatch(words)
    expect(raised!.alarm.text).toMatch(/thermometer/)
  })

  it('is cleared by a minute of good readings', () => {
    const watch = new Watch(emptyVessel)
    watch.tell(
      water(T0, null, 'disconnected'),
      water(T0 + MINUTE, null, 'disconnected'),
      water(T0 + 2 * MINUTE, 27),
    )
    const [cleared] = watch.tell(tick(T0 + 3 * MINUTE))
    expect(cleared!.alarm).toMatchObject({ reason: 'good-again', clearedAtMs: T0 + 3 * MINUTE })
  })
})

describe('device-silent', () => {
  it('is raised at the end of the silence exactly, and cleared when heard again', () => {
    const watch = new Watch()
    watch.tell(heard(T0), heard(T0 + MINUTE))
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
    watch.tell(heard(T0 + HOUR))
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
    watch.tell(heard(T0), tick(T0 + 5 * MINUTE), heard(T0 + 6 * MINUTE))
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
    watch.tell(heard(T0), tick(T0 + 5 * MINUTE), heard(T0 + 6 * MINUTE), tick(T0 + HOUR))
    expect(watch.alarm('device-silent')?.state).toBe('unacknowledged')
    expect(watch.raisedBy('device-silent')).toBe(1)
  })
})

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

describe('every text', () => {
  it('tells the vessel and a first thing to do, and no clock time', () => {
    const watch = new Watch(batchFacts('harvest'))
    watch.tell(water(T0, 31), air(T0, 0), light(T0, 0), tick(T0 + 10 * MINUTE))
    watch.tell(
      water(T0 + 10 * MINUTE, 20),
      tick(T0 + HOUR),
      water(T0 + HOUR, 85, 'power-on'),
      tick(T0 + HOUR + MINUTE),
    )
    const texts = new Map(
      watch.said.filter(({ raised }) => raised).map(({ alarm }) => [alarm.rule, alarm.text]),
    )
    expect([...texts.keys()].sort()).toEqual(Object.values(RuleName).sort())
    for (const text of texts.values()) {
      expect(text).toContain('Cone 1')
      expect(text).not.toMatch(/\d{1,2}:\d{2}/)
      expect(text).not.toMatch(/NaN|undefined|null/)
      expect(text.length).toBeLessThan(360)
    }
  })
})
