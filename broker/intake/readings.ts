import { DeviceFault, KEPT_UNIT, quantityOf, toKeptUnit, unitsOf } from '../../firmware-protocol/channels.ts'
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
  const setAside: SetAside[] = []
  const placed: Measurement[] = []
  const timesMs: number[] = []
  let sorted = true
  for (const measurement of pack.measurements) {
    const atMs = placeTime(measurement.timeS, sentAtMs, receivedAtMs)
    if (typeof atMs === 'string') {
      setAside.push({ reason: QuarantineReason.badTime, detail: `record "${measurement.name}": ${atMs}` })
      continue
    }
    if (timesMs.length > 0 && atMs < timesMs[timesMs.length - 1]!) sorted = false
    placed.push(measurement)
    timesMs.push(atMs)
  }
  const order = sorted ? null : [...timesMs.keys()].sort((a, b) => timesMs[a]! - timesMs[b]!)

  const readings: Reading[] = []
  for (let index = 0; index < placed.length; index++) {
    const next = order ? order[index]! : index
    const read = readOne(placed[next]!, timesMs[next]!, channels)
    if ('reason' in read) setAside.push(read)
    else readings.push(read)
  }
  return { readings, setAside }
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
  if (quantity !== undefined) return badRecord(name, 'true or false is no measure; send a number ("v")')
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
