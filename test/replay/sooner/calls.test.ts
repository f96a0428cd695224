import { describe, expect, it } from 'vitest'
import type { Occurrence } from '../../../broker/replay/contract.ts'
import { firstCallFor, newCalls } from '../../../broker/replay/sooner/calls.ts'

const H = 3_600_000
const alarm = (
  calledAtH: readonly number[],
  clearedAtH: number | null,
  of: Partial<Occurrence> = {},
): Occurrence => ({
  vesselId: 'v1',
  rule: 'water-too-hot',
  priority: 'critical',
  raisedAtMs: (calledAtH[0] ?? 0) * H,
  calledAtMs: calledAtH.map(h => h * H),
  clearedAtMs: clearedAtH === null ? null : clearedAtH * H,
  state: 'normal',
  reason: 'back-within-limit',
  causedBy: null,
  value: 30,
  ...of,
})

describe('the call for a damage', () => {
  const first = (found: Occurrence[], damageH: number) =>
    firstCallFor(found, ['water-too-hot', 'water-heading-hot'], damageH * H)?.calledAtMs
  it('is the first within six hours before it, or after it', () => {
    expect(first([alarm([20], 21), alarm([24], 25)], 23)).toBe(20 * H)
    expect(first([alarm([2], 3), alarm([24], 25)], 23)).toBe(24 * H)
    expect(first([alarm([2], 3)], 23)).toBeUndefined()
  })
  it('may be long before where its alarm still stood', () => {
    expect(first([alarm([2], null)], 23)).toBe(2 * H)
  })
  it('is of a rule that watches for it', () => {
    expect(first([alarm([20], 21, { rule: 'light-out' })], 23)).toBeUndefined()
  })
  it('of an alarm that came again unseen is the call that was near', () => {
    expect(first([alarm([2, 22], 24)], 23)).toBe(22 * H)
  })
})

describe('new calls', () => {
  it('are of what calls nobody now; what is called for sooner is none', () => {
    expect(newCalls([alarm([5], 6)], [alarm([4.5], 6)], null)).toBe(0)
    expect(newCalls([alarm([5], 6)], [alarm([4.5], 6), alarm([12], 13)], null)).toBe(1)
    expect(newCalls([alarm([5], 6)], [], null)).toBe(0)
  })
  it('are found in an alarm that came again before anybody saw it', () => {
    expect(newCalls([alarm([5], 6)], [alarm([4.5, 9, 14], 15)], null)).toBe(2)
    expect(newCalls([alarm([5], 15)], [alarm([4.5, 9, 14], 15)], null)).toBe(0)
  })
  it('do not count where they are of the damage', () => {
    expect(newCalls([], [alarm([20], 21)], 23 * H)).toBe(0)
    expect(newCalls([], [alarm([2], 3)], 23 * H)).toBe(1)
  })
})
