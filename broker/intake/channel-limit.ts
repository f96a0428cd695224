import type { DeviceRegistry } from './outlet.ts'
import { CHANNELS_PER_DEVICE, QuarantineReason, type Reading } from './reading.ts'
import type { Read } from './readings.ts'

/** How many devices are remembered; the one met first is forgotten, and looked up again when it speaks. */
const DEVICES = 4096

/** Sets aside what a device sends on further channels once it has {@link CHANNELS_PER_DEVICE}: nothing is dropped unseen. */
export class ChannelLimit {
  readonly #channels: DeviceRegistry['channels']
  readonly #devices = new Map<string, Known>()

  constructor(channels: DeviceRegistry['channels']) {
    this.#channels = channels
  }

  /** The same object when all may stay, as almost always. */
  hold(device: string, read: Read): Read {
    const known = this.#knownOf(device)
    if (admitsAll(known, read.readings)) return read
    const readings = read.readings.filter(reading => admits(known, reading))
    const names = new Set(
      read.readings.filter(reading => !admits(known, reading)).map(({ channel }) => channel),
    )
    const over = [...names].map(name => ({
      reason: QuarantineReason.badRecord,
      detail: `record "${name}": this device has ${CHANNELS_PER_DEVICE} channels already; send on one of those`,
    }))
    return { readings, setAside: [...read.setAside, ...over] }
  }

  #knownOf(device: string): Known {
    let known = this.#devices.get(device)
    if (known === undefined) {
      if (this.#devices.size >= DEVICES) this.#devices.delete(this.#devices.keys().next().value!)
      const channels = this.#channels(device)
      known = {
        all: new Set(channels.map(({ name, unit }) => keyOf(name, unit))),
        unitOf: new Map(channels.map(({ name, unit }) => [name, unit])),
      }
      this.#devices.set(device, known)
    }
    return known
  }
}

interface Known {
  readonly all: Set<string>
  /** The unit that each channel came in last: it mostly comes in the same, and then no key is built. */
  readonly unitOf: Map<string, string>
}

function admitsAll(known: Known, readings: readonly Reading[]): boolean {
  for (const reading of readings) if (!admits(known, reading)) return false
  return true
}

function admits({ all, unitOf }: Known, { channel, unit }: Reading): boolean {
  if (unitOf.get(channel) === unit) return true
  const key = keyOf(channel, unit)
  if (!all.has(key)) {
    if (all.size >= CHANNELS_PER_DEVICE) return false
    all.add(key)
  }
  unitOf.set(channel, unit)
  return true
}

/** A channel is its name and its unit; names hold no spaces (RFC 8428 section 4.5.1). */
function keyOf(channel: string, unit: string): string {
  return `${channel} ${unit}`
}
