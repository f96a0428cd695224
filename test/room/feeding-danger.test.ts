import { describe, expect, it } from 'vitest'
import { dangerFor, isDanger } from '../../broker/room/feeding/danger.ts'
import { type Alarm, AlarmState, PLAIN, Priority, RuleName } from '../../broker/rules/alarm.ts'

const alarm = (over: Partial<Alarm> = {}): Alarm =>
  ({
    ...PLAIN,
    id: 'a1',
    vesselId: 'left',
    rule: RuleName.airFading,
    state: AlarmState.unacknowledged,
    priority: Priority.high,
    clearedAtMs: null,
    ...over,
  }) as Alarm

describe('an alarm that may cost a batch', () => {
  it('is one of air, heat or water however loud, and any critical one of a vessel', () => {
    expect(isDanger(alarm())).toBe(true)
    expect(isDanger(alarm({ rule: RuleName.probeFault }))).toBe(false)
    expect(isDanger(alarm({ rule: RuleName.deviceSilent, priority: Priority.critical }))).toBe(true)
    expect(isDanger(alarm({ rule: RuleName.harvestMissed, priority: Priority.critical }))).toBe(false)
  })

  it('stands whether it was answered, put off or nobody has, and also silent because of another one', () => {
    expect(isDanger(alarm({ state: AlarmState.acknowledged }))).toBe(true)
    expect(isDanger(alarm({ state: AlarmState.shelved }))).toBe(true)
    expect(isDanger(alarm({ state: AlarmState.suppressed, causedBy: 'a0' }))).toBe(true)
  })

  it('is none once it is over, while it is hushed for work on the vessel, or out of service', () => {
    expect(isDanger(alarm({ state: AlarmState.latched, clearedAtMs: 5 }))).toBe(false)
    expect(isDanger(alarm({ state: AlarmState.suppressed }))).toBe(false)
    expect(isDanger(alarm({ state: AlarmState.outOfService }))).toBe(false)
  })

  it('is told of its own vessel, the newest first', () => {
    const alarms = [
      alarm(),
      alarm({ id: 'a2', rule: RuleName.airLost }),
      alarm({ id: 'a3', vesselId: 'right' }),
    ]
    expect(dangerFor(alarms, 'left')).toEqual({ alarmId: 'a2', rule: RuleName.airLost })
    expect(dangerFor(alarms, 'shelf')).toBeNull()
  })
})
