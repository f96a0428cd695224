import { describe, expect, it } from 'vitest'
import type { Vessel } from '../../../broker/web/api/schemas.ts'
import { airCondition, lampCondition, waterCondition } from '../../../dashboard/words/condition.ts'
import { NOW_MS, reading, settings, vessel } from '../room.ts'

const rules = settings() // cool below 24, hot above 29.4
const withWater = (waterC: Vessel['latest']['waterC'], change: Partial<Vessel> = {}) => {
  const base = vessel(change)
  return waterCondition({ ...base, latest: { ...base.latest, waterC } }, rules, NOW_MS)
}

describe('the water', () => {
  it.each([
    [23.9, 'cool'],
    [24, 'right'],
    [27.3, 'right'],
    [29.4, 'right'],
    [29.41, 'hot'],
  ])('at %d °C is %s', (value, state) => expect(withWater(reading(value)).state).toBe(state))

  it('is never too cool without a batch, but may be too hot', () => {
    expect(withWater(reading(19), { batch: null }).state).toBe('idle')
    expect(withWater(reading(31), { batch: null }).state).toBe('hot')
  })
  it('shows no number for a faulty reading', () => {
    expect(withWater(reading(-127, NOW_MS, 'disconnected'))).toEqual({
      state: 'fault',
      word: 'probe unplugged',
      waterC: null,
    })
  })
  it('says when the probe has fallen silent, and keeps the last number', () => {
    const limitMs = rules.rules['device-silent'].limit * 1000
    expect(withWater(reading(27, NOW_MS - limitMs)).state).toBe('right')
    expect(withWater(reading(27, NOW_MS - limitMs - 1))).toMatchObject({ state: 'silent', waterC: 27 })
  })
  it('tells a vessel without a probe from one that waits for its first reading', () => {
    expect(withWater(null).word).toMatch(/waiting/)
    expect(withWater(null, { channels: { water: null, room: null, air: null, light: null } }).word).toBe(
      'no probe yet',
    )
  })
})

describe('air and lamp', () => {
  it('judge air by the litres of the batch', () => {
    const base = vessel() // 1.4 L: the limit of 0.1 l/min per litre is 0.14 l/min
    const flow = (value: number) =>
      airCondition({ ...base, latest: { ...base.latest, airLpm: reading(value) } }, rules).flowing
    expect(flow(0.13)).toBe(false)
    expect(flow(0.15)).toBe(true)
  })
  it('know nothing of what is not measured', () => {
    const base = vessel()
    const bare = { ...base, latest: { waterC: null, roomC: null, airLpm: null, lightLx: null } }
    expect(airCondition(bare, rules)).toMatchObject({ flowing: null, word: 'not measured' })
    expect(lampCondition(bare, rules)).toMatchObject({ lit: null, word: 'not measured' })
  })
})
