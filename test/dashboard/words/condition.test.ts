import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Vessel } from '../../../broker/web/api/vessels.ts'
import {
  agedSooner,
  airCondition,
  airWords,
  lampCondition,
  lampWords,
  rightBand,
  waterBesideAlarms,
  waterCondition,
} from '../../../dashboard/words/condition.ts'
import { alarm, iso, NOW_MS, reading, settings, vessel } from '../room.ts'

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
    [29.39, 'warm'],
    // The limit itself is too hot, as README and the rule have it.
    [29.4, 'hot'],
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
  it('waits for a probe that speaks seldom as long as the alarm does, and longer for none', () => {
    const tenMinutes = reading(27, NOW_MS - 10 * 60_000)
    expect(withWater(tenMinutes).state).toBe('silent')
    expect(withWater(tenMinutes, { silentAfterS: { water: 1500 } }).state).toBe('right')
    expect(withWater(tenMinutes, { silentAfterS: { air: 1500, water: 300 } }).state).toBe('silent')
  })
  it('says when the probe has fallen silent, and keeps the last number', () => {
    const limitMs = rules.rules['device-silent'].limit * 1000
    expect(withWater(reading(27, NOW_MS - limitMs)).state).toBe('right')
    expect(withWater(reading(27, NOW_MS - limitMs - 1))).toMatchObject({ state: 'silent', waterC: 27 })
  })
  it('is old sooner once the power of several is known to be gone, and only while it is', () => {
    const lost = alarm({ rule: 'power-lost', vesselId: null })
    const { limit } = rules.rules['power-lost']
    const base = vessel()
    const old = { ...reading(27), at: new Date(NOW_MS - (limit + 5) * 1000).toISOString() }
    const seen = { ...base, latest: { ...base.latest, waterC: old } }
    const state = (...alarms: (typeof lost)[]) =>
      waterCondition(seen, agedSooner(rules, alarms), NOW_MS).state
    expect(state()).toBe('right')
    expect(state(lost)).toBe('silent')
    expect(state({ ...lost, clearedAt: iso(NOW_MS) })).toBe('right')
    const heard = { ...seen, latest: { ...seen.latest, waterC: reading(27) } }
    expect(waterCondition(heard, agedSooner(rules, [lost]), NOW_MS).state).toBe('right')
  })
  it('tells a vessel without a probe from one that waits for its first reading', () => {
    expect(withWater(null).word).toMatch(/waiting/)
    expect(
      withWater(null, {
        channels: { water: null, 'upper-water': null, room: null, air: null, light: null, level: null },
      }).word,
    ).toBe('no probe yet')
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

it('that heats up has the one word of its alarm, not one of comfort', () => {
  const heating = alarm({ rule: 'water-heading-hot' })
  expect(waterBesideAlarms(withWater(reading(29)), [heating])).toMatchObject({ word: 'heating up' })
  expect(waterBesideAlarms(withWater(reading(30)), [heating])).toMatchObject({ word: 'too hot' })
})

describe('air and lamp', () => {
  it('judge air by the litres of the batch', () => {
    const base = vessel() // 1.4 L: the limit of 0.1 l/min per litre is 0.14 l/min
    const flow = (value: number) =>
      airCondition({ ...base, latest: { ...base.latest, airLpm: reading(value) } }, rules, NOW_MS).flowing
    expect(flow(0.13)).toBe(false)
    expect(flow(0.15)).toBe(true)
  })
  it('call no air stopped that still flows: they say what it is below', () => {
    const base = vessel({ litres: 20, batch: { ...vessel().batch!, litres: 10 } }) // needs 1.0 l/min
    const words = (value: number) =>
      airWords(airCondition({ ...base, latest: { ...base.latest, airLpm: reading(value) } }, rules, NOW_MS))
    expect(words(0)).toBe('0.00 l/min, stopped')
    expect(words(0.004)).toBe('0.00 l/min, stopped')
    expect(words(0.6)).toBe('0.60 l/min, below 1.00')
    expect(words(0.999), 'never 1.00 below 1.0').toBe('1.00 l/min, too little')
    expect(words(1.2)).toBe('1.20 l/min')
  })
  it('know nothing of what is not measured', () => {
    const base = vessel()
    const bare = {
      ...base,
      latest: { waterC: null, upperWaterC: null, roomC: null, airLpm: null, lightLx: null, levelShare: null },
    }
    expect(airCondition(bare, rules, NOW_MS)).toMatchObject({ flowing: null, word: 'not measured' })
    expect(lampCondition(bare, rules, NOW_MS)).toMatchObject({ lit: null, word: 'not measured' })
  })
})

describe('a channel that has fallen silent by itself', () => {
  const base = vessel()
  const old = (minutes: number, quality: 'good' | 'disconnected' = 'good') => ({
    ...base,
    latest: {
      ...base.latest,
      airLpm: reading(0.6, NOW_MS - minutes * 60_000, quality),
      lightLx: reading(1900, NOW_MS - minutes * 60_000, quality),
    },
  })
  it('shows its age and claims neither air nor light', () => {
    const air = airCondition(old(9), rules, NOW_MS)
    const lamp = lampCondition(old(9), rules, NOW_MS)
    expect([air.flowing, lamp.lit]).toEqual([null, null])
    expect(airWords(air)).toBe('0.60 l/min, 9 min ago')
    expect(lampWords(lamp)).toBe('1,900 lx, 9 min ago')
  })
  it('shows no age while it is heard', () => {
    expect(airWords(airCondition(old(0), rules, NOW_MS))).toBe('0.60 l/min')
    expect(lampWords(lampCondition(old(0), rules, NOW_MS))).toBe('lit, 1,900 lx')
  })
  it('tells how old a fault is too', () =>
    expect(airWords(airCondition(old(9, 'disconnected'), rules, NOW_MS))).toBe('sensor fault, 9 min ago'))
})

describe('the water beside alarms', () => {
  const beside = (value: number, ...alarms: Parameters<typeof alarm>[0][]) =>
    waterBesideAlarms(withWater(reading(value)), alarms.map(alarm))
  const hot = { rule: 'water-too-hot', state: 'acknowledged', clearedAt: null } as const
  it('comes back until the alarm has cleared, and holds its colour', () => {
    expect(beside(29.2, hot)).toMatchObject({ state: 'returning-hot', word: 'coming back' })
    expect(beside(24.1, { ...hot, rule: 'water-too-cool' })).toMatchObject({ state: 'returning-cold' })
  })
  it('is plainly wrong while it is wrong', () => expect(beside(30, hot).word).toBe('too hot'))
  it('has no word of comfort while anything calls', () => {
    const air = { ...hot, rule: 'air-lost' } as const
    const over = { ...hot, state: 'return-to-normal-unacknowledged' } as const
    for (const value of [24.5, 27, 29]) {
      expect(beside(value, air)).toMatchObject({ state: 'within', word: 'water in limits' })
      expect(beside(value, over)).toMatchObject({ state: 'within', word: 'water in limits' })
    }
    // Another channel may be the silent one: the water is heard, so it was never away.
    expect(beside(27, { ...hot, rule: 'device-silent' }).word).toBe('water in limits')
    expect(beside(27, { ...hot, rule: 'probe-fault' }).word).toBe('coming back')
    expect(beside(29.2, air, hot).state).toBe('returning-hot')
  })
  it('is itself without alarms', () => expect(beside(27).word).toBe('just right'))
})
