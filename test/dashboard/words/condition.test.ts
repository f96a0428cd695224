import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Vessel } from '../../../broker/web/api/schemas.ts'
import { airCondition, lampCondition, rightBand, waterCondition } from '../../../dashboard/words/condition.ts'
import { NOW_MS, reading, settings, vessel } from '../room.ts'

const rules = settings() // cool below 24, hot above 29.4
const withWater = (waterC: Vessel['latest']['waterC'], change: Partial<Vessel> = {}) => {
  const base = vessel(change)
  return waterCondition({ ...base, latest: { ...base.latest, waterC } }, rules, NOW_MS)
}

describe('the water', () => {
  it.each([
    // 25-28 °C preferred: FAO Fisheries Technical Paper 361.
    [23.9, 'cold'],
    [24, 'cool'],
    [24.9, 'cool'],
    [25, 'right'],
    [28, 'right'],
    [28.1, 'warm'],
    [29.3, 'warm'],
    [29.4, 'warm'],
    [29.41, 'hot'],
  ])('at %d °C is %s', (value, state) => expect(withWater(reading(value)).state).toBe(state))

  it('has a word of its own for each state, so that 29.3 °C is not called right', () => {
    const words = [23, 24.5, 27, 29.3, 30].map(value => withWater(reading(value)).word)
    expect(words).toEqual(['too cool', 'cool', 'just right', 'warm', 'too hot'])
  })
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

describe('what is right between changed limits', () => {
  it('stays what is best while the limits leave room for it', () => {
    expect(rightBand({ coolC: 15, hotC: 35 })).toEqual({ fromC: 25, toC: 28 })
  })
  it('keeps a degree from a limit that comes near', () => {
    expect(rightBand({ coolC: 23.5, hotC: 27.5 })).toEqual({ fromC: 25, toC: 26.5 })
    expect(rightBand({ coolC: 26.5, hotC: 33 })).toEqual({ fromC: 27.5, toC: 28 })
  })
  it('keeps a quarter from limits that are close to each other', () => {
    expect(rightBand({ coolC: 26, hotC: 28 })).toEqual({ fromC: 26.5, toC: 27.5 })
  })
  it('lies between limits that leave nothing of what is best', () => {
    expect(rightBand({ coolC: 29, hotC: 33 })).toEqual({ fromC: 30, toC: 32 })
    expect(rightBand({ coolC: 18, hotC: 22 })).toEqual({ fromC: 19, toC: 21 })
  })
  it('lies within any limits that can be set, and is never empty', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5, max: 30, noNaN: true }),
        fc.integer({ min: 1, max: 300 }),
        (coolC, tenths) => {
          const limits = { coolC, hotC: coolC + tenths / 10 }
          const { fromC, toC } = rightBand(limits)
          expect(limits.coolC).toBeLessThan(fromC)
          expect(fromC).toBeLessThan(toC)
          expect(toC).toBeLessThan(limits.hotC)
        },
      ),
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
