import type { Device } from './device/device.ts'
import type { Truth } from './truth.ts'
import type { Measured, World } from './world.ts'

export interface RigVessel {
  readonly world: World
  /** Put before each channel's name when one device watches several vessels: `1/`. Empty for one. */
  readonly prefix: string
}

export interface RigSetting {
  readonly device: Device
  readonly vessels: readonly RigVessel[]
  /** Between samplings, in the world's time. */
  readonly intervalS: number
  /** The world's clock, Unix ms; the device's clock is the same. */
  readonly now: () => number
  /** When the first vessel's cysts were poured in, by that clock; older vessels' worlds are stepped on beforehand. */
  readonly beginsAtMs: number
  /** The hidden truth, for a file; it goes no other way. */
  readonly onTruth?: (prefix: string, atMs: number, truth: Truth) => void
}

/** How often the real-time runner looks at the clock, real ms. */
const LOOK_EVERY_MS = 50

/** A device with its vessels, kept abreast of a clock that may run at any speed. */
export class Rig {
  #setting: RigSetting
  #reachedMs: number
  #timer: NodeJS.Timeout | undefined

  constructor(setting: RigSetting) {
    if (!(setting.intervalS > 0)) {
      throw new RangeError(`Cannot sample: the interval must be above 0 s, got ${setting.intervalS}`)
    }
    this.#setting = setting
    this.#reachedMs = setting.beginsAtMs
  }

  get device(): Device {
    return this.#setting.device
  }

  /** Plays everything up to the clock's now. Before `start` this fills the outbox with a past. */
  catchUp(): void {
    const { now, intervalS } = this.#setting
    const nowMs = now()
    while (this.#reachedMs + intervalS * 1000 <= nowMs) {
      this.#reachedMs += intervalS * 1000
      this.#sample(this.#reachedMs)
    }
  }

  start(): void {
    this.catchUp()
    this.#setting.device.start()
    this.#timer = setInterval(() => this.catchUp(), LOOK_EVERY_MS)
  }

  async stop(): Promise<void> {
    clearInterval(this.#timer)
    await this.#setting.device.stop()
  }

  #sample(atMs: number): void {
    const { device, vessels, intervalS, onTruth } = this.#setting
    for (const { world } of vessels) world.step(intervalS)
    device.networkUp = vessels.every(({ world }) => world.networkUp)
    device.sample({
      atMs,
      readings: vessels.flatMap(({ world, prefix }) => readingsOf(world.measure(), prefix)),
    })
    for (const { world, prefix } of vessels) onTruth?.(prefix, atMs, world.truth())
  }
}

/** As the link names them. Air goes out in the registered unit. */
export function readingsOf({ waterC, roomC, airLpm, lightLx }: Measured, prefix: string) {
  return [
    { name: `${prefix}water`, unit: 'Cel', value: waterC },
    { name: `${prefix}room`, unit: 'Cel', value: roomC },
    { name: `${prefix}air`, unit: 'm3/s', value: Number((airLpm / 60_000).toPrecision(6)) },
    { name: `${prefix}light`, unit: 'lx', value: lightLx },
  ]
}
