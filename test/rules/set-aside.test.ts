import { describe, expect, it } from 'vitest'
import type { RuleName } from '../../broker/rules/alarm.ts'
import type { VesselAct } from '../../broker/rules/contract.ts'
import { defaultRules } from '../../broker/rules/defaults.ts'
import { decodeMemory, encodeMemory, resumeMemory } from '../../broker/rules/memory.ts'
import { mostShelvedMs } from '../../broker/rules/shelving.ts'
import { air, batchFacts, HOUR, light, MINUTE, SECOND, T0, tick, Watch, water, withRule } from './helpers.ts'

const by = 'keeper'
const person = (
  kind: 'acknowledge' | 'reset' | 'unshelve' | 'take-out' | 'put-back',
  rule: RuleName,
  atMs: number,
): VesselAct => ({ kind, rule, by, atMs })
const shelve = (rule: RuleName, atMs: number, forMs: number, once = false): VesselAct => ({
  kind: 'shelve',
  rule,
  by,
  untilMs: atMs + forMs,
  once,
  atMs,
})
const hush = (atMs: number, forMs = 30 * MINUTE): VesselAct => ({
  kind: 'hush',
  reason: 'harvest',
  untilMs: atMs + forMs,
  by,
  atMs,
})
const told = (said: ReturnType<Watch['tell']>) =>
  said.map(({ alarm, raised }) => [alarm.rule, alarm.state, raised])

// Here only one sensor speaks at a time: that is another rule's business.
const settings = {
  ...withRule('device-silent', { enabled: false }),
  'air-lost': { ...defaultRules['air-lost'], offDelayMs: 15 * SECOND },
}

/** Air gone from T0 on: called 15 s later. */
function withoutAir(stage: 'incubating' | 'harvest' = 'incubating'): Watch {
  const watch = new Watch(batchFacts(stage), settings)
  watch.tell(air(T0, 0), tick(T0 + 15 * SECOND))
  expect(watch.alarm('air-lost')?.state).toBe('unacknowledged')
  return watch
}

describe('a shelf', () => {
  it('ends by itself at its time, and what holds still calls', () => {
    const watch = withoutAir()
    const from = T0 + MINUTE
    watch.tell(shelve('air-lost', from, 15 * MINUTE))
    expect(watch.alarm('air-lost')).toMatchObject({
      state: 'shelved',
      setAsideBy: by,
      shelvedUntilMs: from + 15 * MINUTE,
    })
    expect(watch.tell(air(from + 15 * MINUTE - 1, 0))).toEqual([])
    const [back] = watch.tell(tick(from + HOUR))
    expect(back).toMatchObject({
      raised: true,
      alarm: { state: 'unacknowledged', announcedAtMs: from + 15 * MINUTE, reason: 'unshelved' },
    })
  })

  it('holds on while the value comes and goes, and ends in normal if it is well then', () => {
    const watch = withoutAir()
    watch.tell(shelve('air-lost', T0 + MINUTE, 15 * MINUTE))
    const quiet = watch.tell(
      air(T0 + 2 * MINUTE, 1),
      air(T0 + 3 * MINUTE, 1),
      air(T0 + 4 * MINUTE, 0),
      air(T0 + 5 * MINUTE, 0),
      air(T0 + 6 * MINUTE, 1),
    )
    expect(quiet).toEqual([])
    expect(told(watch.tell(air(T0 + 7 * MINUTE, 1), tick(T0 + 17 * MINUTE)))).toContainEqual([
      'air-lost',
      'normal',
      false,
    ])
  })

  it('that is one-shot ends with the condition: the next time calls', () => {
    const watch = withoutAir()
    watch.tell(shelve('air-lost', T0 + MINUTE, HOUR, true))
    expect(told(watch.tell(air(T0 + 2 * MINUTE, 1), air(T0 + 3 * MINUTE, 1)))).toEqual([
      ['air-lost', 'normal', false],
    ])
    expect(told(watch.tell(air(T0 + 4 * MINUTE, 0), air(T0 + 5 * MINUTE, 0)))).toEqual([
      ['air-lost', 'unacknowledged', true],
    ])
  })

  it('breaks when the alarm becomes more urgent than what was shelved', () => {
    const watch = withoutAir()
    watch.tell(shelve('air-lost', T0 + MINUTE, 6 * HOUR))
    watch.facts = batchFacts('hatching')
    expect(watch.tell(tick(T0 + 2 * MINUTE))).toMatchObject([
      { raised: true, alarm: { state: 'unacknowledged', priority: 'critical', shelvedUntilMs: null } },
    ])
  })

  it('is bounded: 12 h, an hour for what is critical, whatever is asked', () => {
    for (const [stage, most] of [
      ['incubating', 12 * HOUR],
      ['harvest', HOUR],
    ] as const) {
      const watch = withoutAir(stage)
      watch.tell(shelve('air-lost', T0 + MINUTE, 90 * HOUR))
      expect(watch.alarm('air-lost')?.shelvedUntilMs).toBe(T0 + MINUTE + most)
    }
    expect([
      mostShelvedMs('high', 2 * HOUR),
      mostShelvedMs('critical', 2 * HOUR),
      mostShelvedMs('low'),
    ]).toEqual([2 * HOUR, HOUR, 12 * HOUR])
  })

  it('outlives a restart, but not one whose end no clock of ours can have set', () => {
    const watch = withoutAir()
    watch.tell(shelve('air-lost', T0 + MINUTE, 15 * MINUTE))
    const kept = encodeMemory(watch.memory)
    watch.memory = resumeMemory(decodeMemory('v1', kept), T0 + 5 * MINUTE)
    expect(watch.tell(tick(T0 + 5 * MINUTE), air(T0 + 6 * MINUTE, 0))).toEqual([])
    expect(watch.alarm('air-lost')?.state).toBe('shelved')
    // OPC 10000-9: after a restart a shelved state that cannot be determined is unshelved.
    watch.memory = resumeMemory(decodeMemory('v1', kept), T0 - 24 * HOUR)
    expect(watch.tell(tick(T0 + 5 * MINUTE))).toMatchObject([{ alarm: { state: 'unacknowledged' } }])
  })

  it('can be taken back, and refuses what is over or nothing', () => {
    const watch = withoutAir()
    watch.tell(shelve('air-lost', T0 + MINUTE, HOUR))
    expect(watch.tell(person('unshelve', 'air-lost', T0 + 2 * MINUTE))).toMatchObject([
      { raised: true, alarm: { state: 'unacknowledged' } },
    ])
    expect(watch.tell(person('unshelve', 'air-lost', T0 + 3 * MINUTE))).toEqual([])
    expect(watch.tell(shelve('water-too-hot', T0 + 4 * MINUTE, HOUR))).toEqual([])
  })
})

describe('work on a vessel', () => {
  it('hushes the air alarm while it lasts, and the air is judged anew when it is over', () => {
    const watch = new Watch(batchFacts('harvest', T0 - 24 * HOUR), settings)
    watch.tell(tick(T0), air(T0, 1), water(T0, 27), hush(T0))
    const off = watch.tell(air(T0 + MINUTE, 0), tick(T0 + 2 * MINUTE))
    expect(off).toMatchObject([
      {
        raised: false,
        alarm: { rule: 'air-lost', state: 'suppressed-by-design', suppressedUntilMs: T0 + 30 * MINUTE },
      },
    ])
    expect(off[0]!.alarm.announcedAtMs).toBeNull()
    // Air again within its delay after the end: nobody is called.
    const well = new Watch(batchFacts('harvest', T0 - 24 * HOUR), settings)
    well.memory = decodeMemory('v1', encodeMemory(watch.memory))
    const end = T0 + 30 * MINUTE
    well.tell(air(end - SECOND, 0), air(end + 5 * SECOND, 1), air(end + 5 * MINUTE, 1))
    expect(well.raisedBy('air-lost')).toBe(0)
    // Still none: called when its delay has run anew, at its exact time.
    watch.tell(air(end - SECOND, 0), water(end - SECOND, 27), air(end + MINUTE, 0))
    expect(watch.said.filter(({ raised }) => raised)).toMatchObject([
      { alarm: { rule: 'air-lost', raisedAtMs: end + 15 * SECOND } },
    ])
    expect(watch.memory.hush).toBeNull()
  })

  it.each([1, 10, 14, 15, 600])(
    'gives the air its whole delay once the work is said to be done, %d s after it was turned off',
    offS => {
      const watch = new Watch()
      const doneMs = T0 + 20 * MINUTE
      watch.tell(tick(T0), air(T0, 1), water(T0, 27), hush(T0), air(doneMs - offS * SECOND, 0))
      watch.tell({ kind: 'end-hush', by, atMs: doneMs })
      const delayMs = defaultRules['air-lost'].onDelayMs
      watch.tell(air(doneMs + 5 * SECOND, 0), tick(doneMs + delayMs - 1))
      expect(watch.raisedBy('air-lost')).toBe(0)
      watch.tell(tick(doneMs + delayMs))
      expect(watch.raisedBy('air-lost')).toBe(1)
      expect(watch.alarm('air-lost')?.announcedAtMs).toBe(doneMs + delayMs)
    },
  )

  it('hushes what stood already, and never the heat', () => {
    const watch = withoutAir('harvest')
    expect(told(watch.tell(hush(T0 + MINUTE)))).toEqual([['air-lost', 'suppressed-by-design', false]])
    expect(told(watch.tell(water(T0 + 2 * MINUTE, 31)))).toEqual([['water-too-hot', 'unacknowledged', true]])
  })

  it('is bounded, and can be ended by hand', () => {
    const watch = withoutAir('harvest')
    watch.tell(hush(T0 + MINUTE, 9 * HOUR))
    expect(watch.memory.hush?.untilMs).toBe(T0 + 91 * MINUTE)
    watch.tell({ kind: 'end-hush', by, atMs: T0 + 5 * MINUTE })
    expect(watch.memory.hush).toBeNull()
    expect(watch.alarm('air-lost')).toBeNull()
    expect(told(watch.tell(air(T0 + 6 * MINUTE, 0)))).toEqual([['air-lost', 'unacknowledged', true]])
  })
})

describe('out of service', () => {
  it('calls nobody until it is returned, over batches and restarts, and is judged anew then', () => {
    const watch = new Watch(batchFacts())
    watch.tell(tick(T0), light(T0, 3000), person('take-out', 'light-out', T0))
    expect(watch.alarm('light-out')).toMatchObject({
      state: 'out-of-service',
      setAsideBy: by,
      announcedAtMs: null,
    })
    watch.tell(light(T0 + MINUTE, 0), tick(T0 + HOUR))
    watch.facts = { ...batchFacts(), batch: null }
    watch.tell(tick(T0 + 2 * HOUR))
    watch.facts = batchFacts('soaking', T0 + 3 * HOUR)
    watch.memory = decodeMemory('v1', encodeMemory(watch.memory))
    watch.tell(tick(T0 + 3 * HOUR), light(T0 + 3 * HOUR, 0), light(T0 + 4 * HOUR, 0))
    expect(watch.raisedBy('light-out')).toBe(0)
    expect(watch.alarm('light-out')?.state).toBe('out-of-service')
    watch.tell(person('put-back', 'light-out', T0 + 4 * HOUR), light(T0 + 5 * HOUR, 0))
    expect(watch.said.filter(({ raised, alarm }) => raised && alarm.rule === 'light-out')).toMatchObject([
      { alarm: { raisedAtMs: T0 + 4 * HOUR + 5 * MINUTE } },
    ])
  })
})

describe('latching', () => {
  it('keeps up what is over until it is acknowledged and reset', () => {
    const watch = new Watch(batchFacts(), withRule('water-too-hot', { latching: true }))
    watch.tell(water(T0, 31), water(T0 + SECOND, 27), tick(T0 + 2 * MINUTE))
    expect(watch.alarm('water-too-hot')?.state).toBe('latched')
    watch.tell(person('acknowledge', 'water-too-hot', T0 + 3 * MINUTE))
    expect(watch.alarm('water-too-hot')?.state).toBe('latched-acknowledged')
    expect(told(watch.tell(person('reset', 'water-too-hot', T0 + 4 * MINUTE)))).toEqual([
      ['water-too-hot', 'normal', false],
    ])
  })
})

describe('a call again', () => {
  it('comes half an hour after the acknowledgement of what holds still, at its exact time', () => {
    const watch = withoutAir()
    const seenMs = T0 + 3 * MINUTE
    watch.tell(person('acknowledge', 'air-lost', seenMs), air(seenMs + 30 * MINUTE - 1, 0))
    expect(watch.raisedBy('air-lost')).toBe(1)
    expect(watch.tell(tick(seenMs + 2 * HOUR))).toContainEqual(
      expect.objectContaining({
        raised: true,
        alarm: expect.objectContaining({
          rule: 'air-lost',
          announcedAtMs: seenMs + 30 * MINUTE,
          reason: 're-alarm',
          acknowledgedAtMs: null,
        }),
      }),
    )
  })

  it('does not come for low priority, when it is switched off, or when the condition is over', () => {
    const low = new Watch(batchFacts())
    low.tell(light(T0, 0), light(T0 + 6 * MINUTE, 0), person('acknowledge', 'light-out', T0 + 7 * MINUTE))
    for (let at = T0 + 8 * MINUTE; at < T0 + 2 * HOUR; at += MINUTE) low.tell(light(at, 0))
    expect(low.raisedBy('light-out')).toBe(1)
    const off = new Watch(batchFacts(), withRule('air-lost', { reAlarmMs: 0 }))
    off.tell(air(T0, 0), air(T0 + MINUTE, 0), person('acknowledge', 'air-lost', T0 + 2 * MINUTE))
    off.tell(tick(T0 + 3 * HOUR))
    expect(off.raisedBy('air-lost')).toBe(1)
  })
})
