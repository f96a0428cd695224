import { describe, expect, it } from 'vitest'
import type { Replay } from '../../../broker/web/api/replay.ts'
import type { Cause } from '../../../dashboard/replay/diagnosed.ts'
import { changeText } from '../../../dashboard/replay/in-vain.ts'
import { aReplay, at } from './a-replay.ts'

const hot = {
  kind: 'too-hot',
  change: 'Keep it cool.',
  evidence: [{ spans: [{ from: at(10), to: at(18) }] }],
} as unknown as Cause

function called(atH: number, acknowledgedH: number | null): Replay {
  const [first] = aReplay().alarms
  const step = (hour: number, calls: boolean) => ({
    ...first!.steps[0]!,
    at: at(hour),
    calls,
    reason: calls ? ('above-limit' as const) : ('acknowledged' as const),
    state: calls ? ('unacknowledged' as const) : ('acknowledged' as const),
  })
  return {
    ...aReplay(),
    alarms: [
      {
        ...first!,
        alarm: { ...first!.alarm, vesselId: 'v1', rule: 'water-heading-hot' },
        steps: [step(atH, true), ...(acknowledgedH === null ? [] : [step(acknowledgedH, false)])],
      },
    ],
  }
}

describe('what to change after heat', () => {
  it('is to end it when it calls, where it was called in time and only answered', () => {
    expect(changeText(hot, called(9.8, 9.9))).toMatch(/^Keep it cool\. When it calls, end the heat: unplug/)
  })
  it('is the call where nobody was called in time, nobody answered, or the answer helped', () => {
    for (const replay of [called(11, 11.2), called(9.8, null), called(9.8, 17.8), null])
      expect(changeText(hot, replay)).toBe('Keep it cool. And set the alarm limit where it calls in time.')
  })
  it('stays as it is of any other cause', () => {
    expect(changeText({ ...hot, kind: 'too-cool' }, called(9.8, 9.9))).toBe('Keep it cool.')
  })
})
