import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { LiveChange, LiveMessage } from '../../../broker/web/api/live.ts'
import { applyMessages, EMPTY_ROOM } from '../../../dashboard/state/room-state.ts'
import { alarm, device, NOW_MS, reading, settings, vessel } from '../room.ts'

const snapshot = (cursor = '1'): LiveMessage => ({
  type: 'snapshot',
  cursor,
  nowMs: NOW_MS,
  clockSpeed: 1,
  vessels: [vessel()],
  devices: [],
  alarms: [alarm()],
  settings: settings(),
})
const changes = (...list: LiveChange[]): LiveMessage => ({
  type: 'changes',
  cursor: '2',
  nowMs: NOW_MS,
  changes: list,
})
const water = (value: number, late = false): LiveChange => ({
  kind: 'reading',
  vesselId: 'v1',
  channel: 'waterC',
  latest: reading(value),
  late,
})
const start = applyMessages(EMPTY_ROOM, [snapshot()])

describe('applyMessages', () => {
  it('takes a snapshot whole and forgets what was before', () => {
    const later = applyMessages(start, [{ ...snapshot('9'), vessels: [], alarms: [] } as LiveMessage])
    expect(later.vessels.size).toBe(0)
    expect(later.alarms.size).toBe(0)
    expect(later.cursor).toBe('9')
  })
  it('keeps the newest reading, and the cursor to resume after', () => {
    const later = applyMessages(start, [changes(water(25.1)), changes(water(25.2))])
    expect(later.vessels.get('v1')?.latest.waterC?.value).toBe(25.2)
    expect(later.cursor).toBe('2')
  })
  it('lets a late reading belong to the past', () => {
    expect(applyMessages(start, [changes(water(3, true))]).vessels.get('v1')?.latest.waterC?.value).not.toBe(
      3,
    )
  })
  it('changes nothing in the state it was given, and keeps maps that nothing touched', () => {
    const before = start.vessels.get('v1')
    const later = applyMessages(start, [changes(water(25.1))])
    expect(start.vessels.get('v1')).toBe(before)
    expect(later.vessels).not.toBe(start.vessels)
    expect(later.alarms).toBe(start.alarms)
    expect(applyMessages(start, [])).toBe(start)
  })
  it('drops an alarm once it is back to normal, not when it is only acknowledged', () => {
    const seen = applyMessages(start, [changes({ kind: 'alarm', alarm: alarm({ state: 'acknowledged' }) })])
    expect(seen.alarms.size).toBe(1)
    const over = applyMessages(seen, [changes({ kind: 'alarm', alarm: alarm({ state: 'normal' }) })])
    expect(over.alarms.size).toBe(0)
  })
  it('forgets a device that was removed, and keeps the others and the vessel that it measured', () => {
    const [kept, gone] = ['bench-1', 'bench-2'].map(name => ({ ...device([['water', 'Cel', 'v1']]), name }))
    const both = applyMessages(start, [
      changes({ kind: 'device', device: kept! }, { kind: 'device', device: gone! }),
    ])
    expect([...both.devices.keys()]).toEqual(['bench-1', 'bench-2'])
    const later = applyMessages(both, [changes({ kind: 'device-removed', device: 'bench-2' })])
    expect([...later.devices.keys()]).toEqual(['bench-1'])
    expect(later.vessels).toBe(both.vessels)
    expect(applyMessages(later, [changes({ kind: 'device-removed', device: 'nobody' })]).devices).toEqual(
      later.devices,
    )
  })
  it('passes over changes of a vessel that it does not know', () => {
    const change: LiveChange = { kind: 'forecast', vesselId: 'nobody', forecast: null }
    expect(applyMessages(start, [changes(change)]).vessels).toEqual(start.vessels)
  })
  it('ends in the same state however the messages are cut into frames', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 0, max: 40, noNaN: true }), { maxLength: 12 }),
        fc.nat(12),
        (values, cut) => {
          const messages = values.map(value => changes(water(value)))
          const whole = applyMessages(start, messages)
          const parts = applyMessages(applyMessages(start, messages.slice(0, cut)), messages.slice(cut))
          expect(parts.vessels.get('v1')).toEqual(whole.vessels.get('v1'))
        },
      ),
    )
  })
})
