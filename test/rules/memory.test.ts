import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { decodeMemory, emptyMemory, encodeMemory, resumeMemory } from '../../broker/rules/memory.ts'
import { air, batchFacts, heard, HOUR, MINUTE, SECOND, T0, tick, Watch, water } from './helpers.ts'

const empty = encodeMemory(emptyMemory('v1'))
const troubled = () => {
  const watch = new Watch(batchFacts('harvest'))
  watch.tell(water(T0, 31), air(T0, 0), tick(T0 + MINUTE), water(T0 + MINUTE, null, 'disconnected'))
  return watch
}

describe('a memory as text', () => {
  it('comes back whole', () => {
    const { memory } = troubled()
    const back = decodeMemory('v1', encodeMemory(memory))
    expect(back.rules).toEqual(memory.rules)
    expect(back.clocks).toEqual(memory.clocks)
    expect(back.batchStartedAtMs).toBe(T0)
    expect(back.quiet.memory).toBe(back)
    expect(decodeMemory('v1', empty).clocks).toEqual(emptyMemory('v1').clocks)
  })

  it.each([
    ['another version', encodeMemory(troubled().memory).replace('"version":1', '"version":2')],
    ['no version', encodeMemory(troubled().memory).replace('"version":1,', '')],
    ['another vessel', encodeMemory(emptyMemory('v2'))],
    ['no JSON', '{'],
    ['nothing', ''],
    ['null', 'null'],
    ['a list', '[]'],
    ['a wrong state', encodeMemory(troubled().memory).replace('"unacknowledged"', '"asleep"')],
    [
      'a time that is text',
      encodeMemory(troubled().memory).replace(/"raisedAtMs":\d+/, '"raisedAtMs":"now"'),
    ],
  ])('that is %s is an empty one', (_, json) => {
    expect(encodeMemory(decodeMemory('v1', json))).toBe(empty)
  })

  it('that is anything at all never throws', () => {
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.json()), json => {
        expect(decodeMemory('v1', json).vesselId).toBe('v1')
      }),
    )
  })

  it('that was written before alarms had an action keeps its alarms, with an empty one', () => {
    const { memory } = troubled()
    const raw = JSON.parse(encodeMemory(memory))
    for (const rule of Object.values<any>(raw.rules)) delete rule.alarm?.action
    const back = decodeMemory('v1', JSON.stringify(raw))
    const hot = memory.rules['water-too-hot'].alarm
    expect(hot?.action).not.toBe('')
    expect(back.rules['water-too-hot'].alarm).toEqual({ ...hot, action: '' })
  })

  it('that lacks a rule leaves that one unwatched, and keeps the others', () => {
    const raw = JSON.parse(encodeMemory(troubled().memory))
    delete raw.rules['light-out']
    const back = decodeMemory('v1', JSON.stringify(raw))
    expect(back.rules['light-out'].watchedSinceMs).toBeNull()
    expect(back.rules['air-lost'].alarm?.state).toBe('unacknowledged')
  })
})

describe('resuming after a stop', () => {
  it('counts silence anew, keeps what stood, and lets delays end when they were due', () => {
    const watch = new Watch()
    watch.tell(heard(T0), water(T0, 31), air(T0 + SECOND, 0))
    watch.memory = resumeMemory(decodeMemory('v1', encodeMemory(watch.memory)), T0 + 10 * HOUR)
    const said = watch.tell(tick(T0 + 10 * HOUR + MINUTE))
    expect(said.map(({ alarm }) => [alarm.rule, alarm.raisedAtMs - T0])).toEqual([['air-lost', 16 * SECOND]])
    expect(watch.alarm('water-too-hot')?.state).toBe('unacknowledged')
    expect(watch.tell(tick(T0 + 10 * HOUR + 3 * MINUTE))[0]!.alarm.rule).toBe('device-silent')
  })

  it('does not move the memory that it was given', () => {
    const { memory } = troubled()
    const before = encodeMemory(memory)
    const resumed = resumeMemory(memory, T0 + HOUR)
    expect(encodeMemory(memory)).toBe(before)
    expect(resumed.clocks.heardAtMs).toBe(T0 + HOUR)
  })
})
