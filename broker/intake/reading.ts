/**
 * What leaves intake: readings placed in time, each with a named quality. Every other room builds on these types.
 */

/** What a reading's quality can be. Only `good` values are believed; the others keep their value for the record. */
export const Quality = {
  good: 'good',
  /** A DS18B20 that lost power answers exactly 85.0 °C. */
  powerOn: 'power-on',
  /** Drivers report exactly -127 °C for a probe that does not answer. */
  disconnected: 'disconnected',
  /** An all-zero scratchpad passes the probe's CRC and reads as exactly 0.0 °C. */
  allZero: 'all-zero',
  /** Outside what the quantity can be at all. */
  outOfRange: 'out-of-range',
  /** Not one step of change for hours, where noise alone would have moved it. */
  frozen: 'frozen',
  /** Falling faster than water in a vessel can. */
  outOfWater: 'out-of-water',
  /** The device itself says that it could not read the sensor. */
  reportedFault: 'reported-fault',
} as const
export type Quality = (typeof Quality)[keyof typeof Quality]

/** What a channel measures. `other` is kept, drawn and never judged. */
export const Quantity = {
  water: 'water',
  room: 'room',
  air: 'air',
  light: 'light',
  level: 'level',
  other: 'other',
} as const
export type Quantity = (typeof Quantity)[keyof typeof Quantity]

/** The unit that each known quantity is kept in; intake converts. */
export const UNIT_KEPT = { water: 'Cel', room: 'Cel', air: 'l/min', light: 'lx', level: '/' } as const

/** One value of one channel at one moment. */
export interface Reading {
  /** The channel's name within its device: `water`, `2/air`, or any other SenML name. */
  readonly channel: string
  readonly quantity: Quantity
  /** The unit of `value`: as in {@link UNIT_KEPT} for a known quantity, else as sent ('' when none was). */
  readonly unit: string
  /** As measured, before any calibration offset. `null` when the device reported a fault and no number. */
  readonly value: number | null
  readonly quality: Quality
  /** When it was measured, Unix ms. */
  readonly atMs: number
}

/** One message of one device, decoded and placed in time. */
export interface PlacedPack {
  readonly device: string
  /** The device's random string per power-up; `null` when it sends none, and then repeats cannot be told. */
  readonly boot: string | null
  /** Counts packs within a boot; `null` as above. */
  readonly seq: number | null
  readonly receivedAtMs: number
  /** Oldest first. */
  readonly readings: readonly Reading[]
}

/** Why something was set aside. */
export const QuarantineReason = {
  notSenml: 'not-senml',
  badRecord: 'bad-record',
  badUnit: 'bad-unit',
  badTime: 'bad-time',
  badTopic: 'bad-topic',
  badState: 'bad-state',
  tooLarge: 'too-large',
} as const
export type QuarantineReason = (typeof QuarantineReason)[keyof typeof QuarantineReason]

/** A message, or a part of one, that could not be read: acknowledged, kept as it came, counted and shown. */
export interface QuarantineEntry {
  readonly receivedAtMs: number
  readonly device: string
  readonly topic: string
  readonly reason: QuarantineReason
  /** One sentence that says what is wrong and where: "record 3: unit Far is not known for water; send Cel". */
  readonly detail: string
  /** The payload as it came, cut at {@link QUARANTINE_PAYLOAD_BYTES}. */
  readonly payload: Uint8Array
  /** The payload's whole length. */
  readonly bytes: number
}

/** How many channels, by name and unit, one device may have; what it sends on further ones is quarantined. */
export const CHANNELS_PER_DEVICE = 256

/** How much of a quarantined payload is kept. */
export const QUARANTINE_PAYLOAD_BYTES = 4096

/** What a device says of itself on its state topic. */
export interface DeviceReport {
  readonly device: string
  readonly online: boolean
  readonly receivedAtMs: number
  readonly firmware?: string
  readonly rssiDbm?: number
  readonly uptimeS?: number
  readonly backlog?: number
  /** Readings that its full outbox had to drop. */
  readonly dropped?: number
  /** Why it started, in its own word. */
  readonly resetReason?: string
  /** How far its clock is ahead of ours. */
  readonly clockErrorMs?: number
  /** Memory that it has free. */
  readonly freeBytes?: number
  /** Of the config by which it measures. */
  readonly configRevision?: number
}
