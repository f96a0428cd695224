import { describe, expect, it } from 'vitest'
import { UNIT_KEPT } from '../../broker/intake/reading.ts'
import {
  KEPT_UNIT,
  KnownQuantity,
  quantityOf,
  switchValue,
  toKeptUnit,
  unitsOf,
} from '../../firmware-protocol/channels.ts'
import { DEFAULT_DEVICE_CONFIG, deviceConfig } from '../../firmware-protocol/device-config.ts'
import { deviceCommand } from '../../firmware-protocol/device-orders.ts'
import { deviceState, LAST_WILL } from '../../firmware-protocol/device-state.ts'

describe('channels', () => {
  it('are known by the last part of their name', () => {
    expect(quantityOf('water')).toBe('water')
    expect(quantityOf('12/air')).toBe('air')
    expect(quantityOf('urn:dev:ow:10e2073a01080063:light')).toBe('light')
    for (const other of ['waters', 'water/ph', 'Water', 'ph', 'constructor', 'air-2'])
      expect(quantityOf(other)).toBeUndefined()
  })

  it('are kept in the units that the readings are kept in', () => {
    expect(KEPT_UNIT).toEqual(UNIT_KEPT)
    for (const quantity of Object.values(KnownQuantity))
      expect(unitsOf(quantity)[0]).toBe(KEPT_UNIT[quantity])
  })

  it('convert by definition', () => {
    // 0 °C is 273.15 K: the SI definition of the degree Celsius.
    expect(toKeptUnit('water', 'K', 273.15)).toBe(0)
    expect(toKeptUnit('room', 'K', 300.65)).toBeCloseTo(27.5, 10)
    expect(toKeptUnit('air', 'l/s', 0.05)).toBeCloseTo(3, 10)
    expect(toKeptUnit('air', 'm3/s', 0.00005)).toBeCloseTo(3, 10)
    expect(toKeptUnit('air', 'l/min', 3)).toBe(3)
    expect(toKeptUnit('level', '%', 80)).toBeCloseTo(0.8, 10)
  })

  it('take a switch for the level alone: water at the float, or none', () => {
    expect([switchValue('level', true), switchValue('level', false)]).toEqual([1, 0])
    for (const other of ['water', 'room', 'air', 'light'] as const)
      expect(switchValue(other, true)).toBeUndefined()
  })

  it('refuse units that are not theirs', () => {
    for (const unit of ['degF', 'Far', 'F', 'C', 'cel', '', null, '__proto__'])
      expect(toKeptUnit('water', unit, 1)).toBeUndefined()
    expect(toKeptUnit('air', 'Cel', 1)).toBeUndefined()
    expect(toKeptUnit('light', 'lm', 1)).toBeUndefined()
    // A height says nothing of how full the vessel is.
    for (const unit of ['m', '%EL', null]) expect(toKeptUnit('level', unit, 0.2)).toBeUndefined()
  })
})

describe('what a device and the broker tell each other', () => {
  it('the last will is a state', () => {
    expect(deviceState.parse(JSON.parse(LAST_WILL))).toEqual({ online: false })
  })

  it.each([{}, { online: 1 }, { online: true, backlog: -1 }, { online: true, rssiDbm: '-60' }, null])(
    'refuses %o as a state',
    bad => {
      expect(deviceState.safeParse(bad).success).toBe(false)
    },
  )

  it('a config has a default for everything, and its limits are in order', () => {
    expect(DEFAULT_DEVICE_CONFIG).toMatchObject({ sampleIntervalS: 1, silentBrokerMinutes: 10, limits: {} })
    expect(deviceConfig.safeParse({ limits: { water: { low: 25, high: 29.4 } } }).success).toBe(true)
    expect(deviceConfig.safeParse({ limits: { water: { low: 30, high: 29.4 } } }).success).toBe(false)
    expect(deviceConfig.safeParse({ sampleIntervalS: 0 }).success).toBe(false)
  })

  it('an unknown command is refused', () => {
    expect(deviceCommand.parse({ command: 'identify' })).toEqual({ command: 'identify', seconds: 30 })
    expect(deviceCommand.safeParse({ command: 'burn' }).success).toBe(false)
  })
})
