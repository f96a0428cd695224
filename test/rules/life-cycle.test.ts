import { describe, expect, it } from 'vitest'
import type { Alarm } from '../../broker/rules/alarm.ts'
import { AlarmState, Priority, Reason, RuleName } from '../../broker/rules/alarm.ts'
import type { Announcement } from '../../broker/rules/life-cycle.ts'
import {
  acknowledge,
  announceAgain,
  endCondition,
  LifeEvent,
  newAlarm,
  TRANSITIONS,
} from '../../broker/rules/life-cycle.ts'

const says: Announcement = { priority: Priority.high, action: 'Look.', text: 'first', value: 1, limit: 2 }
const worse: Announcement = {
  priority: Priority.critical,
  action: 'Run.',
  text: 'worse',
  value: 3,
  limit: 2,
}
const first = newAlarm({ id: 'a', vesselId: 'v', rule: RuleName.airLost }, says, Reason.belowLimit, 1000)
const inState = (state: AlarmState): Alarm => ({ ...first, state })

const apply: Record<LifeEvent, (alarm: Alarm) => Alarm> = {
  raise: alarm => announceAgain(alarm, LifeEvent.raise, worse, Reason.belowLimit),
  escalate: alarm => announceAgain(alarm, LifeEvent.escalate, worse, Reason.belowLimit),
  clear: alarm => endCondition(alarm, LifeEvent.clear, Reason.backWithinLimit, 5000),
  withdraw: alarm => endCondition(alarm, LifeEvent.withdraw, Reason.batchEnded, 5000),
  acknowledge: alarm => acknowledge(alarm, 'keeper', Reason.acknowledged, 4000),
}

// Written out from ANSI/ISA-18.2's state diagram, not from the code; '-' is no transition.
const table: Record<AlarmState, Record<LifeEvent, AlarmState | '-'>> = {
  normal: { raise: 'unacknowledged', clear: '-', acknowledge: '-', escalate: '-', withdraw: '-' },
  unacknowledged: {
    raise: '-',
    clear: 'return-to-normal-unacknowledged',
    acknowledge: 'acknowledged',
    escalate: 'unacknowledged',
    withdraw: 'normal',
  },
  acknowledged: {
    raise: '-',
    clear: 'normal',
    acknowledge: '-',
    escalate: 'unacknowledged',
    withdraw: 'normal',
  },
  'return-to-normal-unacknowledged': {
    raise: 'unacknowledged',
    clear: '-',
    acknowledge: 'normal',
    escalate: '-',
    withdraw: 'normal',
  },
  latched: { raise: '-', clear: '-', acknowledge: '-', escalate: '-', withdraw: '-' },
  shelved: { raise: '-', clear: '-', acknowledge: '-', escalate: '-', withdraw: '-' },
  'suppressed-by-design': { raise: '-', clear: '-', acknowledge: '-', escalate: '-', withdraw: '-' },
  'out-of-service': { raise: '-', clear: '-', acknowledge: '-', escalate: '-', withdraw: '-' },
}

describe('every state × every event', () => {
  for (const state of Object.values(AlarmState)) {
    for (const event of Object.values(LifeEvent)) {
      const expected = table[state][event]
      it(`${state} + ${event} -> ${expected}`, () => {
        expect(TRANSITIONS[state][event] ?? '-').toBe(expected)
        const before = inState(state)
        const after = apply[event](before)
        if (expected === '-') expect(after).toBe(before)
        else expect(after.state).toBe(expected)
        expect(after.id).toBe('a')
        expect(after.raisedAtMs).toBe(1000)
      })
    }
  }
})

describe('an occurrence', () => {
  it('begins unacknowledged, with nothing cleared or acknowledged', () => {
    expect(first).toEqual({
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
      clearedAtMs: null,
      acknowledgedAtMs: null,
      acknowledgedBy: null,
      reason: 'below-limit',
    })
  })

  it('keeps who acknowledged it and when through its clearing', () => {
    const over = apply.clear(apply.acknowledge(first))
    expect(over).toMatchObject({
      state: 'normal',
      acknowledgedAtMs: 4000,
      acknowledgedBy: 'keeper',
      clearedAtMs: 5000,
      reason: 'back-within-limit',
    })
  })

  it('keeps when it cleared through a late acknowledgement', () => {
    const over = acknowledge(apply.clear(first), 'keeper', Reason.acknowledged, 9000)
    expect(over).toMatchObject({
      state: 'normal',
      clearedAtMs: 5000,
      acknowledgedAtMs: 9000,
      reason: 'acknowledged',
    })
  })

  it('is the same occurrence when it comes back unseen, and needs acknowledging anew', () => {
    const again = apply.raise(apply.clear(first))
    expect(again).toMatchObject({
      id: 'a',
      raisedAtMs: 1000,
      clearedAtMs: null,
      action: 'Run.',
      text: 'worse',
      value: 3,
    })
    const escalated = apply.escalate(apply.acknowledge(first))
    expect(escalated).toMatchObject({ acknowledgedAtMs: null, acknowledgedBy: null, priority: 'critical' })
  })
})
