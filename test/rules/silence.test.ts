import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { VesselEvent } from '../../broker/rules/contract.ts'
import { LIGHT_MATTERS_MS } from '../../broker/rules/light-out.ts'
import { decodeMemory, encodeMemory, resumeMemory } from '../../broker/rules/memory.ts'
import {
  air,
  batchFacts,
  emptyVessel,
  heard,
  HOUR,
  light,
  MINUTE,
  plain,
  SECOND,
  T0,
  tick,
  Watch,
  water,
  whole,
  withOnly,
  withRule,
} from './helpers.ts'

type Role = 'water' | 'air' | 'light'
const MAKE = { water: (atMs: number) => water(atMs, 27), air: (atMs: number) => air(atMs, 1), light } as const
const ALL: readonly Role[] = ['water', 'air', 'light']
const LIMIT = 180 * SECOND

/** A device that is heard every 20 s and has lost some of its channels. */
const without = (lost: readonly Role[], fromMs: number, toMs: number): VesselEvent[] => {
  const events: VesselEvent[] = []
  for (let atMs = fromMs; atMs <= toMs; atMs += 20 * SECOND)
    events.push(
      heard(atMs),
      ...ALL.filter(role => !lost.includes(role)).map(role =>
        role === 'light' ? light(atMs, 3000) : MAKE[role](atMs),
      ),
    )
  return events
}
const silences = (watch: Watch) => watch.said.filter(({ alarm }) => alarm.rule === 'device-silent')

describe('a channel that brings no readings', () => {
  it.each<[Role[], RegExp, RegExp]>([
    [
      ['water'],
      /^No water reading .* for 3 min, though its device is heard: whether it is too hot is/,
      /probe/,
    ],
    [
      ['air'],
      /^No air reading has come from Cone 1 for 3 min, .* whether it gets air is not known/,
      /air bubbles/,
    ],
    [
      ['light'],
      /^No light reading has come from Cone 1 for 3 min, .* whether it is lit is not/,
      /lamp is lit/,
    ],
    [
      ['water', 'air'],
      /^No water or air reading .* whether it is too hot or gets air is not known/,
      /sensors/,
    ],
    [
      ['water', 'air', 'light'],
      /^No water, air or light reading .* too hot, gets air or is lit is/,
      /sensors/,
    ],
  ])('is called although the device is heard: %s', (lost, text, action) => {
    const watch = new Watch()
    watch.tell(...whole(T0), ...without(lost, T0 + 20 * SECOND, T0 + HOUR))
    expect(watch.said).toMatchObject([
      { raised: true, alarm: { rule: 'device-silent', raisedAtMs: T0 + LIMIT, value: 180, limit: 180 } },
    ])
    const { alarm } = watch.said[0]!
    expect(alarm.text).toMatch(text)
    expect(alarm.text.length).toBeLessThan(360)
    expect(alarm.action).toMatch(action)
    expect(alarm.action).toMatch(/^[A-Z][^.!?]{14,59}\.$/)
    const back = T0 + HOUR + SECOND
    watch.tell(...whole(back), tick(back + 10 * SECOND))
    expect(watch.alarm('device-silent')).toMatchObject({
      state: 'return-to-normal-unacknowledged',
      reason: 'heard-again',
      clearedAtMs: back + 10 * SECOND,
    })
  })

  it('is one alarm with the others, which clears when all of them are back', () => {
    const watch = new Watch()
    watch.tell(...whole(T0), ...without(['air'], T0 + MINUTE, T0 + 5 * MINUTE))
    watch.tell(...without(['water'], T0 + 6 * MINUTE, T0 + 9 * MINUTE))
    // Water came last at 5 min: from 8 min on it is silent too, and air came back at 6.
    expect(silences(watch).map(({ alarm }) => [alarm.state, alarm.clearedAtMs ?? alarm.raisedAtMs])).toEqual([
      ['unacknowledged', T0 + LIMIT],
      ['return-to-normal-unacknowledged', T0 + 6 * MINUTE + 10 * SECOND],
      ['unacknowledged', T0 + LIMIT],
    ])
    const back = T0 + 11 * MINUTE
    watch.tell(air(back, 1), light(back, 3000), heard(back), tick(T0 + 13 * MINUTE))
    expect(watch.alarm('device-silent')?.state).toBe('unacknowledged')
    expect(watch.alarm('device-silent')?.text).toContain('No water reading')
  })

  it('is not silent while it brings bad readings: those are told by another rule', () => {
    const watch = new Watch(withOnly(batchFacts(), 'water'))
    for (let at = 0; at < HOUR; at += MINUTE) watch.tell(water(T0 + at, null, 'disconnected'))
    expect(silences(watch)).toEqual([])
    expect(watch.raisedBy('probe-fault')).toBe(1)
  })

  it('is named as the whole device when that died, though readings are a moment older than their coming', () => {
    const watch = new Watch()
    watch.tell(tick(T0), water(T0, 27), air(T0 + SECOND, 1), light(T0 + SECOND, 3000), heard(T0 + 2 * SECOND))
    const [raised] = watch.tell(tick(T0 + HOUR))
    expect(raised!.alarm).toMatchObject({ raisedAtMs: T0 + LIMIT, value: 180 })
    expect(raised!.alarm.text).toMatch(/^Nothing was heard from the device on Cone 1 for 3 min/)
  })

  it('is not missed without a batch, without a channel, or as light after its first hours', () => {
    const late = T0 + LIGHT_MATTERS_MS
    for (const [facts, lost, fromMs] of [
      [emptyVessel, ALL, T0],
      [withOnly(batchFacts(), 'water'), ['air', 'light'], T0],
      [batchFacts(), ['light'], late],
      [batchFacts(), ['light'], late - LIMIT],
    ] as const) {
      const watch = new Watch(facts)
      watch.tell(...whole(fromMs), ...without(lost, fromMs, fromMs + HOUR))
      expect(watch.said).toEqual([])
    }
    const justBefore = new Watch()
    justBefore.tell(...whole(late - LIMIT - 1), ...without(['light'], late - LIMIT, late + HOUR))
    expect(silences(justBefore).map(({ alarm }) => alarm.clearedAtMs ?? alarm.raisedAtMs)).toEqual([
      late - 1,
      late + 10 * SECOND,
    ])
  })

  it('has the whole limit from when it was assigned', () => {
    const watch = new Watch(withOnly(batchFacts(), 'water'))
    watch.tell(...without(['air'], T0, T0 + HOUR))
    watch.facts = withOnly(batchFacts(), 'water', 'air')
    const assigned = T0 + HOUR + SECOND
    watch.tell(tick(assigned), ...without(['air'], assigned, assigned + LIMIT - SECOND))
    expect(watch.said).toEqual([])
    expect(watch.tell(tick(assigned + LIMIT))[0]!.alarm.text).toContain('No air reading')
    // Taken away, it is missed no more.
    watch.facts = withOnly(batchFacts(), 'water')
    watch.tell(...without(['air'], assigned + LIMIT + SECOND, assigned + 2 * LIMIT))
    expect(watch.alarm('device-silent')?.state).toBe('return-to-normal-unacknowledged')
  })

  it('has the whole limit after a stop, and what stood is not cleared by the stop', () => {
    const watch = new Watch()
    watch.tell(...whole(T0), ...without(['air'], T0 + SECOND, T0 + 2 * MINUTE))
    const resumed = T0 + 10 * HOUR
    watch.memory = resumeMemory(decodeMemory('v1', encodeMemory(watch.memory)), resumed)
    watch.tell(...without(['air'], resumed, resumed + LIMIT - SECOND))
    expect(watch.said).toEqual([])
    expect(watch.tell(tick(resumed + LIMIT))[0]!.alarm.text).toContain('No air reading')
    watch.memory = resumeMemory(decodeMemory('v1', encodeMemory(watch.memory)), resumed + HOUR)
    watch.tell(...without(['air'], resumed + HOUR, resumed + 2 * HOUR))
    expect(watch.alarm('device-silent')?.state).toBe('unacknowledged')
    expect(watch.said).toHaveLength(1)
  })

  it('has the whole limit after a memory that was written before channels were listened to', () => {
    const watch = new Watch()
    watch.tell(...whole(T0))
    const raw = JSON.parse(encodeMemory(watch.memory))
    for (const field of ['waterSinceMs', 'airSinceMs', 'lightSinceMs']) delete raw.clocks[field]
    watch.memory = decodeMemory('v1', JSON.stringify(raw))
    expect(watch.memory.clocks.waterAtMs).toBe(T0)
    watch.tell(...without(['air'], T0 + HOUR, T0 + HOUR + LIMIT - SECOND))
    expect(watch.said.filter(({ alarm }) => alarm.text.includes('air reading'))).toEqual([])
    watch.tell(...without([], T0 + 2 * HOUR, T0 + 2 * HOUR + MINUTE))
    expect(watch.alarm('device-silent')?.state ?? 'normal').not.toBe('unacknowledged')
  })

  it('is fresh by its readings’ own time: a backlog ends no silence before it has reached the present', () => {
    const watch = new Watch()
    watch.tell(...whole(T0), tick(T0 + HOUR), heard(T0 + HOUR))
    for (let at = MINUTE; at < HOUR - LIMIT; at += MINUTE)
      watch.tell(water(T0 + at, 27), air(T0 + at, 1), light(T0 + at, 3000))
    watch.tell(tick(T0 + HOUR + 20 * SECOND))
    expect(watch.said).toHaveLength(1)
    const fresh = HOUR - MINUTE
    watch.tell(water(T0 + fresh, 27), air(T0 + fresh, 1), light(T0 + fresh, 3000))
    watch.tell(tick(T0 + HOUR + 30 * SECOND))
    expect(watch.said.map(({ alarm }) => alarm.clearedAtMs)).toEqual([null, T0 + HOUR + 30 * SECOND])
  })
})

const story = fc.array(
  fc.tuple(fc.integer({ min: 0, max: 2 * MINUTE }), fc.constantFrom<'heard' | Role>('heard', ...ALL)),
  { maxLength: 60 },
)
const roles = fc.subarray([...ALL], { minLength: 1 })

/** How long is silence for what came at these moments: 180 s, or two and a half times the middle of the last five gaps. */
function limitAfter(came: readonly number[]): number {
  const counted: number[] = []
  for (const atMs of came)
    if (counted.length === 0 || atMs - counted.at(-1)! >= 5 * SECOND) counted.push(atMs)
  const gaps = counted.flatMap((atMs, at) => (at === 0 ? [] : [atMs - counted[at - 1]!])).slice(-5)
  const middle = gaps.toSorted((a, b) => a - b)[Math.ceil(gaps.length / 2) - 1] ?? 0
  return gaps.length < 2 ? LIMIT : Math.max(LIMIT, 2.5 * middle)
}

describe('silence in any story', () => {
  it('stands at the end exactly when something watched is silent then, and was never called without a gap', () => {
    // The light's hours end 30 min into the story.
    const batch = batchFacts('incubating', T0 - LIGHT_MATTERS_MS + 30 * MINUTE)
    fc.assert(
      fc.property(story, roles, fc.integer({ min: 0, max: 4 * MINUTE }), (steps, assigned, rest) => {
        const watch = new Watch(withOnly(batch, ...assigned))
        watch.tell(tick(T0))
        const newest = new Map<string, number>(['heard', ...assigned].map(source => [source, T0]))
        const came = new Map<string, number[]>(['heard', ...ALL].map(source => [source, []]))
        const stale = (nowMs: number, [source, atMs]: [string, number]) => {
          const limit = limitAfter(came.get(source) ?? [])
          return nowMs - atMs >= limit && (source !== 'light' || atMs + limit < T0 + 30 * MINUTE)
        }
        let nowMs = T0
        let gap = false
        for (const [step, what] of steps) {
          nowMs += step
          gap ||= [...newest].some(each => stale(nowMs, each))
          watch.tell(
            what === 'heard' ? heard(nowMs) : what === 'light' ? light(nowMs, 3000) : MAKE[what](nowMs),
          )
          newest.set('heard', nowMs)
          if (newest.has(what)) newest.set(what, nowMs)
          for (const source of new Set(['heard', what])) came.get(source)?.push(nowMs)
        }
        nowMs += rest
        watch.tell(tick(nowMs))
        const atEnd = [...newest].some(each => stale(nowMs, each))
        gap ||= atEnd
        expect(watch.raisedBy('device-silent') > 0).toBe(gap)
        if (atEnd && nowMs < T0 + 30 * MINUTE)
          expect(watch.alarm('device-silent')?.state).toBe('unacknowledged')
      }),
      { numRuns: 500 },
    )
  })

  it('is the same with a tick every second, and with the memory written and read at every event', () => {
    const settings = fc.constantFrom(
      withRule('device-silent', {}),
      withRule('device-silent', { onDelayMs: 30 * SECOND, offDelayMs: 3 * MINUTE }),
      withRule('device-silent', { offDelayMs: 0 }),
    )
    const batch = batchFacts('incubating', T0 - LIGHT_MATTERS_MS + 20 * MINUTE)
    fc.assert(
      fc.property(story, roles, settings, fc.nat(60), (steps, assigned, set, change) => {
        const [plainly, ticking, kept] = [0, 1, 2].map(() => new Watch(batch, set)) as [Watch, Watch, Watch]
        let nowMs = T0
        for (const watch of [plainly, ticking, kept]) watch.tell(tick(T0))
        for (const [index, [step, what]] of steps.entries()) {
          for (let at = nowMs + SECOND; at < nowMs + step; at += SECOND) ticking.tell(tick(at))
          nowMs += step
          const facts = index >= change ? withOnly(batch, ...assigned) : batch
          const event =
            what === 'heard' ? heard(nowMs) : what === 'light' ? light(nowMs, 3000) : MAKE[what](nowMs)
          for (const watch of [plainly, ticking, kept]) {
            if (index === change) {
              watch.tell(tick(nowMs))
              watch.facts = facts
            }
            watch.tell(event)
          }
          kept.memory = decodeMemory('v1', encodeMemory(kept.memory))
        }
        expect(plain(ticking.said)).toEqual(plain(plainly.said))
        expect(kept.said).toEqual(plainly.said)
      }),
      { numRuns: 200 },
    )
  })
})
