import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { deviceAlarm, QUIET } from '../../firmware-protocol/device-alarm.ts'
import { deviceAlarmOf, saysTheSame, type Standing } from '../../broker/devices/alarm.ts'
import { AlarmState, PLAIN, Priority, RuleName, SYSTEM_RULES, type Alarm } from '../../broker/rules/alarm.ts'
import type { Role } from '../../broker/store/contract.ts'
import { type AssignmentRow } from '../../broker/store/contract.ts'

const NOW = Date.UTC(2026, 0, 1)

function alarm(over: Partial<Alarm> = {}): Alarm {
  return {
    ...PLAIN,
    id: 'a',
    vesselId: 'v1',
    rule: 'water-too-hot',
    state: 'unacknowledged',
    priority: 'critical',
    raisedAtMs: NOW - 61_500,
    announcedAtMs: NOW - 61_500,
    clearedAtMs: null,
    acknowledgedAtMs: null,
    acknowledgedBy: null,
    reason: 'above-limit',
    action: 'Take the lamp away.',
    text: 'Water is 30.1 °C (86.2 °F).',
    value: 30.1,
    limit: 29.4,
    ...over,
  }
}

/** A vessel by its roles: `{ water: 'bench-1/water' }`. */
function vessel(id: string, roles: Partial<Record<Role, string>>): Standing['vessels'][number] {
  const row = (role: Role): AssignmentRow | null => {
    const [device, ...channel] = (roles[role] ?? '').split('/')
    if (!device) return null
    return {
      id: `${id}-${role}`,
      vesselId: id,
      role,
      device,
      channel: channel.join('/'),
      offset: 0,
      fromMs: 0,
      toMs: null,
    }
  }
  return {
    row: { id, name: `Cone ${id}`, litres: 1, createdAtMs: 0, retiredAtMs: null },
    channels: {
      water: row('water'),
      'upper-water': row('upper-water'),
      room: row('room'),
      air: row('air'),
      light: row('light'),
      level: row('level'),
    },
  }
}
const LEFT = vessel('v1', { water: 'bench-1/water', light: 'bench-1/light' })

const told = (alarms: Alarm[], vessels = [LEFT], device = 'bench-1') =>
  deviceAlarmOf(device, { alarms, vessels, nowMs: NOW })

describe('what a device is told of alarms', () => {
  it('is that nothing stands', () => {
    expect(told([])).toEqual(QUIET)
  })

  it('sounds, drops the lamp, and says what, where and since when', () => {
    expect(told([alarm()])).toEqual({
      standing: 1,
      unacknowledged: 1,
      priority: 'critical',
      rules: ['water-too-hot'],
      sinceS: 61,
      sound: true,
      lampOff: true,
      hot: ['light', 'water'],
      text: 'Cone v1: Take the lamp away.',
    })
  })

  it.each(['water-too-hot', 'water-heading-hot'] as const)('opens the relay for %s only', rule => {
    expect(told([alarm({ rule })]).lampOff).toBe(true)
    for (const other of Object.values(RuleName).filter(each => !/hot$/.test(each)))
      expect(told([alarm({ rule: other })])).toMatchObject({ lampOff: false, hot: [] })
  })

  it.each([
    // state, cleared, caused by, sound, lampOff, standing, unacknowledged
    ['normal', NOW, null, false, false, 0, 0],
    ['unacknowledged', null, null, true, true, 1, 1],
    ['acknowledged', null, null, false, true, 1, 0],
    ['return-to-normal-unacknowledged', NOW, null, false, false, 1, 1],
    ['latched', NOW, null, true, false, 1, 1],
    ['latched-acknowledged', NOW, null, false, false, 1, 0],
    ['shelved', null, null, false, true, 0, 0],
    ['shelved', NOW, null, false, false, 0, 0],
    ['suppressed-by-design', null, null, false, false, 0, 0],
    ['suppressed-by-design', null, 'b', false, true, 0, 0],
    ['out-of-service', null, null, false, false, 0, 0],
  ] as const)(
    'in state %s (cleared %s, caused by %s)',
    (state, clearedAtMs, causedBy, sound, lampOff, standing, unacknowledged) => {
      const acknowledgedAtMs = state.includes('acknowledged') && !state.includes('un') ? NOW - 5 : null
      expect(told([alarm({ state, clearedAtMs, causedBy, acknowledgedAtMs })])).toMatchObject({
        sound,
        lampOff,
        standing,
        unacknowledged,
      })
    },
  )

  it('knows every state of the standard', () => {
    for (const state of Object.values(AlarmState))
      expect(deviceAlarm.safeParse(told([alarm({ state })])).success).toBe(true)
  })

  it('gives the buzzer the pattern of what sounds, not of what was answered', () => {
    const answered = alarm({ state: 'acknowledged', acknowledgedAtMs: NOW - 9 })
    const dark = alarm({ id: 'b', rule: 'light-out', priority: 'low', raisedAtMs: NOW })
    expect(told([answered, dark])).toMatchObject({
      priority: 'low',
      sound: true,
      standing: 2,
      unacknowledged: 1,
    })
    expect(told([answered])).toMatchObject({ priority: 'critical', sound: false })
  })

  it('names rules by urgency, once, and counts from the oldest', () => {
    const two = vessel('v2', { water: 'bench-1/2/water' })
    const all = [
      alarm({ id: 'a', rule: 'light-out', priority: 'low', raisedAtMs: NOW - 300_000 }),
      alarm({ id: 'b', rule: 'air-lost', priority: 'high', raisedAtMs: NOW - 1000 }),
      alarm({ id: 'c', vesselId: 'v2' }),
      alarm({ id: 'd', vesselId: 'v2', rule: 'air-lost', priority: 'high' }),
    ]
    expect(told(all, [LEFT, two])).toMatchObject({
      rules: ['water-too-hot', 'air-lost', 'light-out'],
      sinceS: 300,
      standing: 4,
      hot: ['2/water'],
    })
  })

  it('is about its own vessels', () => {
    const two = vessel('v2', { water: 'bench-2/water', light: 'bench-3/light' })
    expect(told([alarm({ vesselId: 'v2' })], [LEFT, two])).toEqual(QUIET)
    expect(told([alarm({ vesselId: 'v2' })], [LEFT, two], 'bench-2').hot).toEqual(['water'])
    // The lamp may hang on another device than the probe.
    expect(told([alarm({ vesselId: 'v2' })], [LEFT, two], 'bench-3')).toMatchObject({
      lampOff: true,
      hot: ['light'],
    })
    expect(told([alarm()], [], 'bench-1')).toEqual(QUIET)
  })

  it('sounds for the whole room when its power fails or nobody can be reached, not for the service itself', () => {
    for (const rule of SYSTEM_RULES) {
      const sound = rule === 'power-lost' || rule === 'channel-failing'
      expect(told([alarm({ vesselId: null, rule })])).toMatchObject({ sound, lampOff: false })
    }
    expect(told([alarm({ vesselId: null, rule: 'power-lost' })]).text).toBe('Take the lamp away.')
    // A device with no vessel to mind has nobody beside it.
    expect(told([alarm({ vesselId: null, rule: 'power-lost' })], [LEFT], 'spare')).toEqual(QUIET)
  })

  it('does not count time that has not come', () => {
    expect(told([alarm({ raisedAtMs: NOW + 60_000 })]).sinceS).toBe(0)
  })

  it('cuts its line without tearing a character', () => {
    const { text } = told([alarm({ action: '🦐'.repeat(200) })])
    expect(text!.length).toBeLessThanOrEqual(160)
    expect(Buffer.from(text!).toString()).toBe(text)
  })

  it('always fits the protocol, whatever stands, and does not depend on the order of alarms', () => {
    const someAlarm = fc.record({
      id: fc.uuid(),
      vesselId: fc.constantFrom('v1', 'v2', null),
      rule: fc.constantFrom(...Object.values(RuleName)),
      state: fc.constantFrom(...Object.values(AlarmState)),
      priority: fc.constantFrom(...Object.values(Priority)),
      raisedAtMs: fc.integer({ min: NOW - 1e9, max: NOW + 1e6 }),
      clearedAtMs: fc.constantFrom(null, NOW),
      causedBy: fc.constantFrom(null, 'z'),
      action: fc.string({ maxLength: 300 }),
    })
    const two = vessel('v2', { water: 'bench-1/2/water', air: 'bench-2/air' })
    fc.assert(
      fc.property(fc.uniqueArray(someAlarm, { maxLength: 40, selector: each => each.id }), list => {
        const alarms = list.map(each => alarm(each))
        const forward = told(alarms, [LEFT, two])
        expect(deviceAlarm.parse(JSON.parse(JSON.stringify(forward)))).toEqual(forward)
        expect(told([...alarms].reverse(), [LEFT, two])).toEqual(forward)
      }),
    )
  })

  it('says the same while only time passes', () => {
    const later = deviceAlarmOf('bench-1', { alarms: [alarm()], vessels: [LEFT], nowMs: NOW + 60_000 })
    expect(saysTheSame(told([alarm()]), later)).toBe(true)
    expect(saysTheSame(told([alarm()]), told([alarm({ state: 'acknowledged' })]))).toBe(false)
  })
})
