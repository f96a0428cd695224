import type { LocalLimits } from '../../firmware-protocol/device-config.ts'
import type { KeptReading } from './outbox.ts'

/** So many samples in a row beyond a limit make it sound, and so many within it make it stop: one slip does neither. */
const IN_A_ROW = 3
/** What a DS18B20 says when it lost power or is not there (its datasheet): no temperature. */
const PROBE_FAULTS: ReadonlySet<number> = new Set([85, -127])

interface Watched {
  beyond: boolean
  /** Samples in a row that say otherwise. */
  other: number
  hushed: boolean
}

/** The limits that the device watches by itself, without any network. */
export class OwnLimits {
  readonly #channels = new Map<string, Watched>()

  take(readings: readonly KeptReading[], limits: Readonly<Record<string, LocalLimits>>): void {
    for (const name of this.#channels.keys()) if (!(name in limits)) this.#channels.delete(name)
    for (const { name, unit, value } of readings) {
      const limit = limits[name]
      const fault = !Number.isFinite(value) || (unit === 'Cel' && PROBE_FAULTS.has(value))
      if (limit === undefined || fault) continue
      const watched = this.#channels.get(name) ?? { beyond: false, other: 0, hushed: false }
      this.#channels.set(name, watched)
      const beyond = value > (limit.high ?? Infinity) || value < (limit.low ?? -Infinity)
      watched.other = beyond === watched.beyond ? 0 : watched.other + 1
      if (watched.other >= IN_A_ROW) Object.assign(watched, { beyond, other: 0, hushed: false })
    }
  }

  /** Somebody has answered: what is beyond its limit now is quiet until it was within it again. */
  hush(): void {
    for (const watched of this.#channels.values()) watched.hushed = watched.beyond
  }

  get sounds(): boolean {
    return [...this.#channels.values()].some(({ beyond, hushed }) => beyond && !hushed)
  }
}
