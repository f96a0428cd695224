import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Quality } from '../../broker/intake/reading.ts'
import { RuleName } from '../../broker/rules/alarm.ts'
import type { VesselEvent, VesselFacts } from '../../broker/rules/contract.ts'
import { defaultRules } from '../../broker/rules/defaults.ts'
import { judge } from '../../broker/rules/judge.ts'
import { decodeMemory, emptyMemory, encodeMemory } from '../../broker/rules/memory.ts'
import { HushReason } from '../../broker/rules/hush.ts'
import { ALL_RULES } from '../../broker/rules/all-rules.ts'
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
  withRule,
} from './helpers.ts'

const quality = fc.oneof(
  { weight: 4, arbitrary: fc.constant(Quality.good) },
  fc.constantFrom(...Object.values(Quality)),
)
const step = fc.oneof(fc.integer({ min: 0, max: 5 * SECOND }), fc.integer({ min: SECOND, max: 8 * MINUTE }))
const happening = fc.oneof(
  {
    weight: 3,
    arbitrary: fc.tuple(fc.constant(water), fc.double({ min: 22, max: 31, noNaN: true }), quality),
  },
  { weight: 2, arbitrary: fc.tuple(fc.constant(air), fc.double({ min: 0, max: 0.3, noNaN: true }), quality) },
  fc.tuple(fc.constant(light), fc.double({ min: 0, max: 500, noNaN: true }), quality),
)
const RULES = ALL_RULES.map(({ name }) => name)
const NO_ACTS = [heard, tick] as const
const ACTS: readonly ((atMs: number) => VesselEvent)[] = [
  ...RULES.flatMap(rule => [
    ...(['acknowledge', 'reset', 'unshelve', 'take-out', 'put-back'] as const).map(
      kind => (atMs: number) => ({ kind, rule, by: 'keeper', atMs }) as const,
    ),
    ...[false, true].map(
      once => (atMs: number) =>
        ({ kind: 'shelve', rule, by: 'keeper', untilMs: atMs + 7 * MINUTE, once, atMs }) as const,
    ),
    ...['other', null].map(causedBy => (atMs: number) => ({ kind: 'cause', rule, causedBy, atMs }) as const),
  ]),
  ...Object.values(HushReason).map(
    reason => (atMs: number) =>
      ({ kind: 'hush', reason, untilMs: atMs + 11 * MINUTE, by: 'keeper', atMs }) as const,
  ),
  atMs => ({ kind: 'end-hush', by: 'keeper', atMs }),
]
const act = fc.oneof(fc.constantFrom<(atMs: number) => VesselEvent>(...NO_ACTS), {
  weight: 2,
  arbitrary: fc.constantFrom(...ACTS),
})
/** A vessel's story in the order of time, beginning with a tick. */
const story = fc
  .array(fc.tuple(step, fc.oneof({ weight: 4, arbitrary: happening }, act)), { maxLength: 120 })
  .map(steps => {
    let atMs = T0
    return [
      tick(T0),
      ...steps.map(([gap, what]) => {
        atMs += gap
        return typeof what === 'function' ? what(atMs) : what[0](atMs, what[1], what[2])
      }),
    ]
  })
const facts = fc.constantFrom<VesselFacts>(
  batchFacts('incubating', T0 - 5.5 * HOUR),
  batchFacts('harvest', T0 - 24 * HOUR),
  emptyVessel,
  { ...batchFacts(), assigned: { water: true, air: false, light: true } },
)
const settings = fc.constantFrom(
  defaultRules,
  withRule('air-lost', { onDelayMs: 0, offDelayMs: 0 }),
  withRule('device-silent', { onDelayMs: 30 * SECOND, offDelayMs: 10 * MINUTE }),
  withRule('water-too-hot', { onDelayMs: 20 * SECOND, deadband: 0 }),
)

describe('judging', () => {
  it('is not changed by ticks in between, however many', () => {
    fc.assert(
      fc.property(
        story,
        facts,
        settings,
        fc.array(fc.double({ min: 0, max: 1, noNaN: true }), { maxLength: 60 }),
        (events, vessel, set, places) => {
          const span = events.at(-1)!.atMs - T0
          const ticks = places.map(place => Math.floor(T0 + place * span))
          const plainly = new Watch(vessel, set)
          const ticking = new Watch(vessel, set)
          let from = -Infinity
          for (const event of events) {
            plainly.tell(event)
            // An extra tick of the very same moment may come before an event of it, or not at all.
            ticking.tell(
              ...ticks
                .filter(at => at > from && at <= event.atMs)
                .sort((a, b) => a - b)
                .map(tick),
              event,
            )
            from = event.atMs
          }
          expect(plain(ticking.said)).toEqual(plain(plainly.said))
        },
      ),
      { numRuns: 300 },
    )
  })

  it('is not changed by a restart at any point', () => {
    fc.assert(
      fc.property(story, facts, settings, fc.integer({ min: 1, max: 7 }), (events, vessel, set, every) => {
        const running = new Watch(vessel, set)
        const restarted = new Watch(vessel, set)
        events.forEach((event, at) => {
          running.tell(event)
          if (at % every === 0) restarted.memory = decodeMemory('v1', encodeMemory(restarted.memory))
          restarted.tell(event)
        })
        expect(restarted.said).toEqual(running.said)
        expect(JSON.parse(encodeMemory(restarted.memory))).toEqual(JSON.parse(encodeMemory(running.memory)))
      }),
      { numRuns: 200 },
    )
  })

  it('never jumps a state, calls only when it becomes unacknowledged, and each call once', () => {
    const unack = 'unacknowledged'
    const returned = 'return-to-normal-unacknowledged'
    const [shelved, hushed, out] = ['shelved', 'suppressed-by-design', 'out-of-service']
    const ways: Record<string, readonly string[]> = {
      // What comes while it is hushed is raised and suppressed in one step.
      normal: [unack, hushed, out],
      [unack]: [returned, 'acknowledged', 'normal', unack, shelved, hushed, out],
      acknowledged: ['normal', unack, shelved, hushed, out],
      [returned]: [unack, 'normal', shelved, hushed, out],
      [shelved]: [unack, 'normal', hushed, out],
      [hushed]: ['normal', unack, hushed, out],
      [out]: ['normal', unack, hushed],
    }
    fc.assert(
      fc.property(story, facts, settings, (events, vessel, set) => {
        const watch = new Watch(vessel, set)
        watch.tell(...events)
        const states = new Map<string, string>()
        const ids = new Map<string, string>()
        const calls = new Set<string>()
        const newest = new Map<string, number | null>()
        for (const { alarm, raised } of watch.said) {
          const before = states.get(alarm.rule) ?? 'normal'
          expect(ways[before]).toContain(alarm.state)
          if (before === 'normal') expect(ids.get(alarm.rule)).not.toBe(alarm.id)
          else expect(ids.get(alarm.rule)).toBe(alarm.id)
          // What has become worse so soon after a call is told without one.
          if (raised) expect(alarm.state).toBe(unack)
          else if (alarm.state === unack) {
            expect(before).toBe(unack)
            expect(alarm.announcedAtMs).toBe(newest.get(alarm.rule))
          }
          newest.set(alarm.rule, alarm.announcedAtMs)
          if (raised) {
            const call = `${alarm.id} ${alarm.announcedAtMs}`
            if (before !== returned) expect(calls).not.toContain(call)
            calls.add(call)
          }
          if (alarm.state === shelved) expect(alarm.shelvedUntilMs).not.toBeNull()
          if (alarm.state === hushed)
            expect(alarm.suppressedUntilMs !== null || alarm.causedBy !== null).toBe(true)
          states.set(alarm.rule, alarm.state)
          ids.set(alarm.rule, alarm.id)
        }
        for (const rule of RULES) {
          expect(watch.alarm(rule)?.state ?? 'normal').toBe(states.get(rule) ?? 'normal')
        }
      }),
      { numRuns: 400 },
    )
  })

  it('gives no heat alarm while the water stays below its limit, whatever else goes wrong', () => {
    fc.assert(
      fc.property(story, facts, (events, vessel) => {
        const watch = new Watch(vessel)
        for (const event of events) {
          const isHot =
            event.kind === 'reading' &&
            event.role === 'water' &&
            event.quality === 'good' &&
            (event.value ?? 0) >= 29.4
          watch.tell(isHot ? { ...event, value: 29.39 } : event)
        }
        expect(watch.raisedBy('water-too-hot')).toBe(0)
      }),
    )
  })

  it('calls no more than once in an off-delay, however the value chatters', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.tuple(
            fc.integer({ min: 1, max: 20 * SECOND }),
            fc.double({ min: 28.5, max: 30.5, noNaN: true }),
          ),
          { maxLength: 300 },
        ),
        steps => {
          const watch = new Watch(emptyVessel)
          let atMs = T0
          for (const [gap, value] of steps) watch.tell(water((atMs += gap), value))
          const { offDelayMs } = defaultRules['water-too-hot']
          expect(watch.raisedBy('water-too-hot')).toBeLessThanOrEqual(
            1 + Math.floor((atMs - T0) / offDelayMs),
          )
        },
      ),
    )
  })

  it('passes over late readings and times that are no number', () => {
    const watch = new Watch(emptyVessel)
    watch.tell(water(T0 + MINUTE, 27))
    const before = encodeMemory(watch.memory)
    const { memory } = watch
    watch.tell(water(T0 + MINUTE - 1, 40), water(NaN, 40), tick(NaN), heard(Infinity), tick(-Infinity))
    expect(watch.said).toEqual([])
    expect(watch.memory).toBe(memory)
    expect(encodeMemory(memory)).toBe(before)
    // Two readings of one moment are both judged.
    watch.tell(water(T0 + MINUTE, 31))
    expect(watch.alarm('water-too-hot')?.raisedAtMs).toBe(T0 + MINUTE)
    watch.tell(
      { kind: 'acknowledge', rule: RuleName.waterTooHot, by: 'keeper', atMs: T0 + MINUTE },
      water(T0 + MINUTE, 27),
    )
    watch.tell(tick(T0 + 2 * MINUTE))
    // Late is told by role: an older reading of another role is judged, and so is one older than a tick.
    watch.tell(tick(T0 + HOUR), water(T0 + 3 * MINUTE, 31))
    expect(watch.alarm('water-too-hot')?.raisedAtMs).toBe(T0 + 3 * MINUTE)
  })

  it('gives the same memory back when nothing changed', () => {
    const watch = new Watch()
    watch.tell(tick(T0), water(T0, 27), air(T0, 1), light(T0, 3000))
    const { memory } = watch
    for (let i = 1; i <= 1000; i++) {
      const atMs = T0 + i * SECOND
      watch.tell(heard(atMs), water(atMs, 27), air(atMs, 1), light(atMs, 3000), tick(atMs))
    }
    watch.tell({ kind: 'acknowledge', rule: RuleName.airLost, by: 'keeper', atMs: T0 + 1000 * SECOND })
    expect(watch.memory).toBe(memory)
  })

  it('gives the same answer object for every quiet event, so that nothing is made', () => {
    const once = judge(emptyMemory('v1'), batchFacts(), tick(T0), defaultRules, () => 'a')
    const { memory } = once
    const one = judge(memory, batchFacts(), water(T0, 27), defaultRules, () => 'a')
    const two = judge(one.memory, batchFacts(), water(T0 + 1, 27), defaultRules, () => 'a')
    expect(two).toBe(one)
  })

  it('tells an acknowledgement once, with who it was', () => {
    const watch = new Watch(emptyVessel)
    watch.tell(water(T0, 31))
    const seen = { kind: 'acknowledge', rule: RuleName.waterTooHot, by: 'keeper', atMs: T0 + SECOND } as const
    expect(watch.tell(seen)).toMatchObject([
      {
        raised: false,
        alarm: {
          state: 'acknowledged',
          acknowledgedBy: 'keeper',
          acknowledgedAtMs: T0 + SECOND,
          reason: 'acknowledged',
        },
      },
    ])
    const { memory } = watch
    expect(watch.tell({ ...seen, atMs: T0 + 2 * SECOND })).toEqual([])
    expect(watch.memory).toBe(memory)
    expect(watch.tell({ ...seen, rule: RuleName.lightOut })).toEqual([])
  })

  it('tells several delays that ended while nothing came in the order in which they ended', () => {
    const watch = new Watch(batchFacts('harvest'))
    watch.tell(light(T0, 0), water(T0, 22), air(T0, 0))
    const said = watch.tell(tick(T0 + HOUR))
    expect(said.map(({ alarm }) => [alarm.rule, alarm.raisedAtMs - T0])).toEqual([
      ['air-lost', 15 * SECOND],
      ['device-silent', 180 * SECOND],
      ['light-out', 5 * MINUTE],
      ['water-too-cool', 15 * MINUTE],
    ])
  })
})
