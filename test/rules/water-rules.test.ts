import { describe, expect, it } from 'vitest'
import { Quality } from '../../broker/intake/reading.ts'
import { RuleName } from '../../broker/rules/alarm.ts'
import {
  batchFacts,
  emptyVessel,
  HOUR,
  MINUTE,
  SECOND,
  T0,
  tick,
  Watch,
  water,
  withOnly,
  withRule,
} from './helpers.ts'

describe('water-too-hot', () => {
  it('is raised by the very reading that crosses the limit, with or without a batch', () => {
    for (const facts of [batchFacts(), emptyVessel]) {
      const watch = new Watch(facts)
      expect(watch.tell(water(T0, 29.39))).toEqual([])
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

  it('is raised at its limit itself: 29.4 °C (85 °F) and above is too hot (common practice, no source)', () => {
    const { alarm } = new Watch(emptyVessel).tell(water(T0, 29.4))[0]!
    expect(alarm).toMatchObject({ rule: 'water-too-hot', value: 29.4, limit: 29.4 })
    expect(alarm.text).toContain('29.4 °C (84.9 °F), at or above its alarm limit of 29.4 °C (84.9 °F).')
    // In binary 29.1 + 0.3 is a hair above 29.4, and 29.7 - 0.3 a hair below it.
    for (const value of [29.1 + 0.3, 29.7 - 0.3])
      expect(new Watch(emptyVessel).tell(water(T0, value))).toHaveLength(1)
    const bare = new Watch(emptyVessel, withRule('water-too-hot', { deadband: 0, offDelayMs: 0 }))
    bare.tell(water(T0, 29.4), water(T0 + SECOND, 29.4))
    expect(bare.alarm('water-too-hot')?.state).toBe('unacknowledged')
    bare.tell(water(T0 + 2 * SECOND, 29.39))
    expect(bare.alarm('water-too-hot')?.state).toBe('return-to-normal-unacknowledged')
  })

  it('is called earlier by what a calibrated probe may read too little, says so, and never later', () => {
    const sure = { ...emptyVessel, probeUncertaintyC: 0.15 }
    const watch = new Watch(sure)
    expect(watch.tell(water(T0, 29.09))).toEqual([])
    const { alarm } = watch.tell(water(T0 + SECOND, 29.125))[0]!
    expect(alarm).toMatchObject({ value: 29.125, limit: 29.4 - 0.3 })
    expect(alarm.text).toContain(
      'its probe is sure to 0.3 °C (0.5 °F) only, so this is called from 29.1 °C (84.4 °F).',
    )
    // Past the limit itself nobody needs to know of the probe.
    expect(new Watch(sure).tell(water(T0, 30))[0]!.alarm.text).toContain(
      'at or above its alarm limit of 29.4 °C',
    )
    // A degree at most, however little is known.
    const unsure = { ...emptyVessel, probeUncertaintyC: 9 }
    expect(new Watch(unsure).tell(water(T0, 28.39))).toEqual([])
    expect(new Watch(unsure).tell(water(T0, 28.41))).toHaveLength(1)
    // Switched off, and never calibrated: the limit alone.
    const off = withRule('water-too-hot', { allowForProbe: false })
    expect(new Watch(sure, off).tell(water(T0, 29.39))).toEqual([])
    expect(new Watch(emptyVessel).tell(water(T0, 29.39))).toEqual([])
    for (const odd of [NaN, -1, 0])
      expect(new Watch({ ...emptyVessel, probeUncertaintyC: odd }).tell(water(T0, 29.4))).toHaveLength(1)
  })

  it('says both scales, tells value from limit, and what to do first without harm', () => {
    const watch = new Watch()
    const text = watch.tell(water(T0, 29.44))[0]!.alarm.text
    expect(text).toContain('Cone 1 is 29.44 °C (84.99 °F)')
    expect(text).toContain('29.40 °C (84.92 °F)')
    expect(text).toMatch(/dry plug/)
    expect(new Watch().tell(water(T0, 31))[0]!.alarm.text).toContain(
      '31.0 °C (87.8 °F), at or above its alarm limit of 29.4 °C (84.9 °F)',
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
    const watch = new Watch(withOnly(batchFacts(), 'water'))
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

describe('probe-fault', () => {
  it.each([
    [Quality.powerOn, 85, /losing its supply/],
    [Quality.disconnected, -127, /does not answer/],
    [Quality.allZero, 0, /nothing but zeros/],
    [Quality.outOfRange, 300, /cannot have/],
    [Quality.frozen, 27, /very same value/],
    [Quality.reportedFault, null, /cannot be read/],
    [Quality.good, NaN, /no number/],
  ])('names %s after two minutes, in an empty vessel too', (quality, value, words) => {
    const watch = new Watch(emptyVessel)
    expect(watch.tell(water(T0, value, quality), water(T0 + 119 * SECOND, value, quality))).toEqual([])
    const [raised] = watch.tell(tick(T0 + 2 * MINUTE))
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
      water(T0 + 3 * MINUTE, 27),
    )
    const [cleared] = watch.tell(tick(T0 + 4 * MINUTE))
    expect(cleared!.alarm).toMatchObject({ reason: 'good-again', clearedAtMs: T0 + 4 * MINUTE })
  })
})
