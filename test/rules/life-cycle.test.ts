import { describe, expect, it } from 'vitest'
import type { Alarm } from '../../broker/rules/alarm.ts'
import { AlarmState, Priority, Reason, RuleName } from '../../broker/rules/alarm.ts'
import type { Announcement, Circumstances } from '../../broker/rules/life-cycle.ts'
import { LifeEvent, nextState, restingAlarm, step } from '../../broker/rules/life-cycle.ts'

const says: Announcement = { priority: Priority.high, action: 'Look.', text: 'first', value: 1, limit: 2 }
const worse: Announcement = { ...says, priority: Priority.critical, action: 'Run.', text: 'worse', value: 3 }
const resting = restingAlarm(
  { id: 'a', vesselId: 'v', rule: RuleName.airLost },
  says,
  Reason.belowLimit,
  1000,
)
const HOLDS: Circumstances = { holds: true, latching: false, once: false }

const apply = (
  alarm: Alarm,
  event: LifeEvent,
  atMs = 5000,
  now: Partial<Circumstances> = {},
  untilMs = 9000,
) =>
  step(alarm, {
    event,
    reason: Reason.belowLimit,
    atMs,
    by: 'keeper',
    says: worse,
    untilMs,
    causedBy: 'cause',
    now: { ...HOLDS, ...now },
  })
const raised = step(resting, {
  event: LifeEvent.raise,
  reason: Reason.belowLimit,
  atMs: 1000,
  says,
  now: HOLDS,
})
const inState = (state: AlarmState): Alarm => ({ ...raised, state })

/**
 * The edges of the state diagram of ANSI/ISA-18.2-2016 (IEC 62682:2014), written from memory and not from the code, in the
 * diagram's letters:
 *
 * A normal, B unacknowledged, C acknowledged, D returned to normal unacknowledged, E latched unacknowledged, F latched
 * acknowledged, G shelved, H suppressed by design, I out of service.
 *
 * An entry is `holds?latching?once` written out: a letter where it always leads there, a function where it hangs on that, '-'
 * where nothing changes. Where we offer less than the diagram the line says so.
 */
const A = 'normal'
const B = 'unacknowledged'
const C = 'acknowledged'
const D = 'return-to-normal-unacknowledged'
const E = 'latched'
const F = 'latched-acknowledged'
const G = 'shelved'
const H = 'suppressed-by-design'
const I = 'out-of-service'
type Edge = AlarmState | '-' | ((now: Circumstances) => AlarmState | '-')
const diagram: Record<AlarmState, Record<LifeEvent, Edge>> = {
  [A]: {
    raise: B,
    clear: '-',
    acknowledge: '-',
    escalate: '-',
    're-alarm': '-',
    reset: '-',
    // The diagram lets any alarm be shelved or suppressed; with us there is nothing to shelve before it is raised.
    shelve: '-',
    suppress: '-',
    'take-out': I,
    release: '-',
    withdraw: '-',
  },
  [B]: {
    raise: '-',
    clear: ({ latching }) => (latching ? E : D),
    acknowledge: C,
    // Not of the diagram: it calls anew because it became more urgent.
    escalate: B,
    're-alarm': '-',
    reset: '-',
    shelve: G,
    suppress: H,
    'take-out': I,
    release: '-',
    withdraw: A,
  },
  [C]: {
    raise: '-',
    clear: ({ latching }) => (latching ? F : A),
    acknowledge: '-',
    escalate: B,
    're-alarm': B,
    reset: '-',
    shelve: G,
    suppress: H,
    'take-out': I,
    release: '-',
    withdraw: A,
  },
  [D]: {
    raise: B,
    clear: '-',
    acknowledge: A,
    escalate: '-',
    're-alarm': '-',
    reset: '-',
    shelve: ({ once }) => (once ? '-' : G),
    // What is over needs no suppression.
    suppress: '-',
    'take-out': I,
    release: '-',
    withdraw: A,
  },
  [E]: {
    raise: B,
    clear: '-',
    acknowledge: F,
    escalate: '-',
    're-alarm': '-',
    reset: D,
    // What is latched is let go by its reset, not by a shelf.
    shelve: '-',
    suppress: '-',
    'take-out': I,
    release: '-',
    withdraw: A,
  },
  [F]: {
    raise: B,
    clear: '-',
    acknowledge: '-',
    escalate: '-',
    're-alarm': '-',
    reset: A,
    shelve: '-',
    suppress: '-',
    'take-out': I,
    release: '-',
    withdraw: A,
  },
  [G]: {
    raise: '-',
    // One-shot shelving ends when the alarm returns to normal (OPC 10000-9: OneShotShelved); timed shelving does not.
    clear: ({ once, latching }) => (!once ? '-' : latching ? F : A),
    acknowledge: '-',
    escalate: B,
    're-alarm': '-',
    reset: '-',
    shelve: '-',
    suppress: '-',
    'take-out': I,
    release: ({ holds, latching }) => (holds ? B : latching ? F : A),
    withdraw: A,
  },
  [H]: {
    raise: '-',
    clear: A,
    acknowledge: '-',
    escalate: '-',
    're-alarm': '-',
    reset: '-',
    shelve: '-',
    suppress: '-',
    'take-out': I,
    release: ({ holds }) => (holds ? B : A),
    withdraw: A,
  },
  [I]: {
    raise: '-',
    clear: '-',
    acknowledge: '-',
    escalate: '-',
    're-alarm': '-',
    reset: '-',
    shelve: '-',
    suppress: '-',
    'take-out': '-',
    release: ({ holds }) => (holds ? B : A),
    // Only a person returns it to service: a batch that ends does not.
    withdraw: '-',
  },
}
const circumstances = [true, false].flatMap(holds =>
  [true, false].flatMap(latching => [true, false].map(once => ({ holds, latching, once }))),
)

describe('every state × every event', () => {
  for (const state of Object.values(AlarmState)) {
    for (const event of Object.values(LifeEvent)) {
      const edge = diagram[state][event]
      it(`${state} + ${event} -> ${typeof edge === 'string' ? edge : 'as the circumstances are'}`, () => {
        for (const now of circumstances) {
          const expected = typeof edge === 'string' ? edge : edge(now)
          expect(nextState(state, event, now) ?? '-').toBe(expected)
          const before = inState(state)
          const after = apply(before, event, 5000, now)
          if (expected === '-') expect(after).toBe(before)
          else expect(after.state).toBe(expected)
          expect(after.id).toBe('a')
          expect(after.raisedAtMs).toBe(1000)
          // It calls, under a name of its own, exactly when it becomes unacknowledged.
          expect(after.announcedAtMs).toBe(expected === B ? 5000 : 1000)
        }
      })
    }
  }

  it('has a way in and a way out for each', () => {
    const ways = Object.values(AlarmState).flatMap(from =>
      Object.values(LifeEvent).flatMap(event =>
        circumstances.flatMap(now => {
          const to = nextState(from, event, now)
          return to === undefined || to === from ? [] : [{ from, to }]
        }),
      ),
    )
    for (const state of Object.values(AlarmState)) {
      expect(ways.some(({ to }) => to === state)).toBe(true)
      expect(ways.some(({ from }) => from === state)).toBe(true)
    }
  })
})

describe('an occurrence', () => {
  it('begins unacknowledged, with nothing cleared, acknowledged or set aside', () => {
    expect(raised).toEqual({
      id: 'a',
      vesselId: 'v',
      rule: 'air-lost',
      state: 'unacknowledged',
      priority: 'high',
      action: 'Look.',
      text: 'first',
      value: 1,
      limit: 2,
      raisedAtMs: 1000,
      announcedAtMs: 1000,
      clearedAtMs: null,
      acknowledgedAtMs: null,
      acknowledgedBy: null,
      reason: 'below-limit',
      shelvedUntilMs: null,
      shelvedOnce: false,
      setAsideBy: null,
      suppressedUntilMs: null,
      causedBy: null,
      consequences: [],
      worseSinceMs: null,
    })
  })

  it('keeps who acknowledged it and when through its clearing', () => {
    const over = apply(apply(raised, 'acknowledge', 4000), 'clear', 5000)
    expect(over).toMatchObject({
      state: 'normal',
      acknowledgedAtMs: 4000,
      acknowledgedBy: 'keeper',
      clearedAtMs: 5000,
    })
  })

  it('keeps when it cleared through a late acknowledgement and a reset', () => {
    expect(apply(apply(raised, 'clear', 5000), 'acknowledge', 9000)).toMatchObject({
      state: 'normal',
      clearedAtMs: 5000,
      acknowledgedAtMs: 9000,
    })
    const latched = apply(raised, 'clear', 5000, { latching: true })
    expect(apply(apply(latched, 'acknowledge', 6000), 'reset', 9000)).toMatchObject({
      state: 'normal',
      clearedAtMs: 5000,
      acknowledgedAtMs: 6000,
    })
  })

  it('is the same occurrence when it comes back unseen, and needs acknowledging anew', () => {
    expect(apply(apply(raised, 'clear'), 'raise', 7000)).toMatchObject({
      id: 'a',
      raisedAtMs: 1000,
      announcedAtMs: 7000,
      clearedAtMs: null,
      action: 'Run.',
      text: 'worse',
      value: 3,
    })
    for (const event of ['escalate', 're-alarm'] as const)
      expect(apply(apply(raised, 'acknowledge'), event)).toMatchObject({
        acknowledgedAtMs: null,
        acknowledgedBy: null,
        priority: 'critical',
      })
  })

  it('tells until when and by whom it is set aside, and forgets it when it calls again', () => {
    const shelved = apply(raised, 'shelve', 2000, { once: true })
    expect(shelved).toMatchObject({ shelvedUntilMs: 9000, shelvedOnce: true, setAsideBy: 'keeper' })
    const suppressed = apply(raised, 'suppress')
    expect(suppressed).toMatchObject({ suppressedUntilMs: 9000, causedBy: 'cause' })
    const plain = {
      shelvedUntilMs: null,
      shelvedOnce: false,
      setAsideBy: null,
      suppressedUntilMs: null,
      causedBy: null,
    }
    expect(apply(shelved, 'release')).toMatchObject(plain)
    expect(apply(suppressed, 'release')).toMatchObject(plain)
    expect(apply(apply(raised, 'take-out'), 'release')).toMatchObject(plain)
  })
})

describe('who acknowledged what calls again', () => {
  const seen = step(raised, {
    event: LifeEvent.acknowledge,
    reason: Reason.acknowledged,
    atMs: 2000,
    by: 'Ada',
    now: HOLDS,
  })
  it.each([LifeEvent.reAlarm, LifeEvent.escalate])('is remembered over %s', event => {
    const again = apply(seen, event, 4000)
    expect(again).toMatchObject({
      state: B,
      acknowledgedAtMs: null,
      seenBefore: { atMs: 2000, by: 'Ada' },
    })
    // The newest counts, and an alarm that was answered is told as answered.
    const twice = apply(apply(again, LifeEvent.acknowledge, 5000), LifeEvent.reAlarm, 6000)
    expect(twice.seenBefore).toEqual({ atMs: 5000, by: 'keeper' })
  })
  it('is nobody where nobody did', () => {
    expect(apply(raised, LifeEvent.escalate, 4000).seenBefore).toBeUndefined()
  })
})
