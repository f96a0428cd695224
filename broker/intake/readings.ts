import {
  DeviceFault,
  KEPT_UNIT,
  quantityOf,
  switchValue,
  toKeptUnit,
  unitsOf,
} from '../../firmware-protocol/channels.ts'
import type { KnownQuantity } from '../../firmware-protocol/channels.ts'
import type { Measurement, Pack } from '../../firmware-protocol/pack.ts'
import { placeTime } from './place.ts'
import type { DeviceJudge } from './quality.ts'
import { Quality, Quantity, QuarantineReason } from './reading.ts'
import type { Reading } from './reading.ts'

/** A record that was set aside, and why. */
export interface SetAside {
  readonly reason: QuarantineReason
  readonly detail: string
}

export interface Read {
  /** Oldest first. */
  readonly readings: Reading[]
  readonly setAside: SetAside[]
}

/** Turns a pack's measurements into readings: placed in time, in kept units, each with its quality. */
export function readMeasurements(
  pack: Pack,
  sentAtMs: number,
  receivedAtMs: number,
  channels: DeviceJudge,
): Read {
  const read: Read = { readings: [], setAside: [] }
  const { measurements } = pack
  if (areOfNow(measurements)) {
    for (const measurement of measurements) take(read, measurement, sentAtMs, channels)
    return read
  }
  const placed: { readonly measurement: Measurement; readonly atMs: number }[] = []
  for (const measurement of measurements) {
    const atMs = placeTime(measurement.timeS, sentAtMs, receivedAtMs)
    if (typeof atMs === 'number') placed.push({ measurement, atMs })
    else {
      const detail = `record "${measurement.name}": ${atMs}`
      read.setAside.push({ reason: QuarantineReason.badTime, detail })
    }
  }
  placed.sort((a, b) => a.atMs - b.atMs)
  for (const { measurement, atMs } of placed) take(read, measurement, atMs, channels)
  return read
}

/** Nearly every pack is: then there is nothing to place and nothing to sort. */
function areOfNow(measurements: readonly Measurement[]): boolean {
  for (const { timeS } of measurements) if (timeS !== 0) return false
  return true
}

function take(into: Read, measurement: Measurement, atMs: number, channels: DeviceJudge): void {
  const read = readOne(measurement, atMs, channels)
  if ('reason' in read) into.setAside.push(read)
  else into.readings.push(read)
}

function readOne(measurement: Measurement, atMs: number, channels: DeviceJudge): Reading | SetAside {
  const { name, unit, value } = measurement
  const quantity = quantityOf(name)
  if (typeof value === 'number') {
    if (quantity === undefined) return other(name, unit, value, Quality.good, atMs)
    const kept = toKeptUnit(quantity, unit, value)
    if (kept === undefined) return badUnit(name, quantity, unit)
    return {
      channel: name,
      quantity,
      unit: KEPT_UNIT[quantity],
      value: kept,
      quality: channels.judge(name, quantity, kept, atMs),
      atMs,
    }
  }
  if (typeof value === 'string') {
    if (quantity !== undefined) {
      return {
        channel: name,
        quantity,
        unit: KEPT_UNIT[quantity],
        value: null,
        quality: faultNamed(value),
        atMs,
      }
    }
    if (FAULT_NAMES.has(value)) return other(name, unit, null, faultNamed(value), atMs)
    return badRecord(name, 'its text names no fault; send a number ("v")')
  }
  if (quantity !== undefined) {
    const kept = switchValue(quantity, value)
    if (kept === undefined) return badRecord(name, 'true or false is no measure; send a number ("v")')
    return { channel: name, quantity, unit: KEPT_UNIT[quantity], value: kept, quality: Quality.good, atMs }
  }
  return other(name, unit, value ? 1 : 0, Quality.good, atMs)
}

const FAULT_NAMES: ReadonlySet<string> = new Set(Object.values(DeviceFault))

function faultNamed(text: string): Quality {
  if (text === DeviceFault.disconnected) return Quality.disconnected
  return text === DeviceFault.powerOn ? Quality.powerOn : Quality.reportedFault
}

function other(
  channel: string,
  unit: string | null,
  value: number | null,
  quality: Quality,
  atMs: number,
): Reading {
  return { channel, quantity: Quantity.other, unit: unit ?? '', value, quality, atMs }
}

function badRecord(name: string, why: string): SetAside {
  return { reason: QuarantineReason.badRecord, detail: `record "${name}": ${why}` }
}

function badUnit(name: string, quantity: KnownQuantity, unit: string | null): SetAside {
  const got = unit === null ? 'no unit is given' : `unit ${unit.slice(0, 20)} is not known for ${quantity}`
  return {
    reason: QuarantineReason.badUnit,
    detail: `record "${name}": ${got}; send ${unitsOf(quantity).join(' or ')}`,
  }
}
