import type { DeviceRegistry } from './outlet.ts'
import { CHANNELS_PER_DEVICE, QuarantineReason, type Reading } from './reading.ts'
import type { Read } from './readings.ts'

/** How many devices are remembered; the one met first is forgotten, and looked up again when it speaks. */
const DEVICES = 4096

/** Sets aside what a device sends on further channels once it has {@link CHANNELS_PER_DEVICE}: nothing is dropped unseen. */
export class ChannelLimit {
  readonly #channels: DeviceRegistry['channels']
  readonly #devices = new Map<string, Set<string>>()

  constructor(channels: DeviceRegistry['channels']) {
    this.#channels = channels
  }

  /** The same object when all may stay, as almost always. */
  hold(device: string, read: Read): Read {
    const known = this.#knownOf(device)
    if (read.readings.every(reading => this.#admits(known, reading))) return read
    const readings = read.readings.filter(reading => known.has(keyOf(reading)))
    const names = new Set(
      read.readings.filter(reading => !known.has(keyOf(reading))).map(({ channel }) => channel),
    )
    const over = [...names].map(name => ({
      reason: QuarantineReason.badRecord,
      detail: `record "${name}": this device has ${CHANNELS_PER_DEVICE} channels already; send on one of those`,
    }))
    return { readings, setAside: [...read.setAside, ...over] }
  }

  #admits(known: Set<string>, reading: Reading): boolean {
    const key = keyOf(reading)
    if (known.has(key)) return true
    if (known.size >= CHANNELS_PER_DEVICE) return false
    known.add(key)
    return true
  }

  #knownOf(device: string): Set<string> {
    let known = this.#devices.get(device)
    if (known === undefined) {
      if (this.#devices.size >= DEVICES) this.#devices.delete(this.#devices.keys().next().value!)
      known = new Set(this.#channels(device).map(({ name, unit }) => `${name} ${unit}`))
      this.#devices.set(device, known)
    }
    return known
  }
}

/** A channel is its name and its unit; names hold no spaces (RFC 8428 section 4.5.1). */
function keyOf({ channel, unit }: Reading): string {
  return `${channel} ${unit}`
}
