import { QuarantineReason } from './reading.ts'

/** Why somebody was turned away: lack of rights, or more than the broker can bear. */
export const Refusal = {
  /** No credentials, or wrong ones. */
  credentials: 'credentials',
  /** An empty client identifier with a session to be kept: MQTT 3.1.1 clause 3.1.3-8. */
  identifier: 'identifier',
  /** A last will on a topic that is not the device's own state. */
  will: 'will',
  publish: 'publish',
  subscribe: 'subscribe',
  connections: 'connections',
  /** A packet too long even to be set aside. */
  packetLength: 'packet-length',
  /** Too many credentials wait to be checked. */
  busy: 'busy',
} as const
export type Refusal = (typeof Refusal)[keyof typeof Refusal]

/** Counts since the start of the process, for `/metrics`. */
export interface IntakeStats {
  /** Packs taken in and given on, repeats not among them. */
  readonly packs: number
  readonly readings: number
  readonly repeats: number
  /** Messages or parts of them set aside, by reason. */
  readonly quarantined: Readonly<Record<QuarantineReason, number>>
  readonly refused: Readonly<Record<Refusal, number>>
  /** Messages acknowledged. */
  readonly acks: number
  /** Messages that could not be kept and were not acknowledged. */
  readonly notKept: number
  /** Devices connected now; in external mode whether the broker is (0 or 1). */
  readonly clients: number
}

/** {@link IntakeStats} while they are counted. */
export type Counts = {
  -readonly [Name in keyof IntakeStats]: IntakeStats[Name] extends number
    ? number
    : { -readonly [Key in keyof IntakeStats[Name]]: number }
}

export function newCounts(): Counts {
  return {
    packs: 0,
    readings: 0,
    repeats: 0,
    quarantined: zeroes(Object.values(QuarantineReason)),
    refused: zeroes(Object.values(Refusal)),
    acks: 0,
    notKept: 0,
    clients: 0,
  }
}

function zeroes<Key extends string>(keys: readonly Key[]): Record<Key, number> {
  return Object.fromEntries(keys.map(key => [key, 0])) as Record<Key, number>
}

/** A copy that no longer changes. */
export function snapshot(counts: Counts): IntakeStats {
  return { ...counts, quarantined: { ...counts.quarantined }, refused: { ...counts.refused } }
}
