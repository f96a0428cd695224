import type { Device } from './device/device.ts'
import { LampRelay } from './hardware/lamp-relay.ts'
import type { Truth } from './truth.ts'
import type { Measured, World } from './world.ts'

export interface RigVessel {
  readonly world: World
  /** Put before each channel's name when one device watches several vessels: `1/`. Empty for one. */
  readonly prefix: string
  /** When its cysts were poured in, by the rig's clock, Unix ms; to the nearest sampling. */
  readonly beginsAtMs: number
}

export interface RigSetting {
  readonly device: Device
  readonly vessels: readonly RigVessel[]
  /** Between samplings, in the world's time, until the device is told another. */
  readonly intervalS: number
  /** However short the device is told to make it: a world that runs fast would be sampled too often. 1 when left out. */
  readonly leastIntervalS?: number
  /** The same for what is played before `start`; as above when left out. */
  readonly pastIntervalS?: number
  /** The world's clock, Unix ms; the device's clock is the same. */
  readonly now: () => number
  /** The hidden truth, for a file; it goes no other way. */
  readonly onTruth?: (prefix: string, atMs: number, truth: Truth) => void
}

/** How often the real-time runner looks at the clock, real ms. */
const LOOK_EVERY_MS = 50

/** A device with its vessels, kept abreast of a clock that may run at any speed. */
export class Rig {
  #setting: RigSetting
  /** By the vessel's prefix: of those whose story has one. */
  readonly #relays: ReadonlyMap<string, LampRelay>
  #reachedMs: number
  #timer: NodeJS.Timeout | undefined

  constructor(setting: RigSetting) {
    for (const seconds of [setting.intervalS, setting.pastIntervalS ?? 1]) {
      if (seconds > 0) continue
      throw new RangeError(`Cannot sample: the interval must be above 0 s, got ${seconds}`)
    }
    this.#setting = setting
    this.#relays = new Map(
      setting.vessels
        .filter(({ world }) => world.scenario.lampRelay)
        .map(({ prefix }) => [prefix, new LampRelay()]),
    )
    this.#reachedMs = Math.min(...setting.vessels.map(({ beginsAtMs }) => beginsAtMs))
  }

  get device(): Device {
    return this.#setting.device
  }

  /** Plays what lies behind into the outbox, as a past to send first. */
  playPast(): void {
    this.#playUpTo(this.#setting.now(), this.#setting.pastIntervalS ?? this.#setting.intervalS)
  }

  start(): void {
    this.#setting.device.start()
    this.#timer = setInterval(() => this.#playUpTo(this.#setting.now(), this.#intervalS()), LOOK_EVERY_MS)
  }

  async stop(): Promise<void> {
    clearInterval(this.#timer)
    await this.#setting.device.stop()
  }

  #intervalS(): number {
    const { device, intervalS, leastIntervalS = 1 } = this.#setting
    const { revision, sampleIntervalS } = device.config
    return revision === 0 ? intervalS : Math.max(sampleIntervalS, leastIntervalS)
  }

  /** Ahead of its turn, and the next in its turn. */
  measureNow(): void {
    const nowMs = this.#setting.now()
    const passedS = (nowMs - this.#reachedMs) / 1000
    if (passedS <= 0) return
    this.#reachedMs = nowMs
    this.#sample(nowMs, passedS)
  }

  #playUpTo(nowMs: number, intervalS: number): void {
    while (this.#reachedMs + intervalS * 1000 <= nowMs) {
      this.#reachedMs += intervalS * 1000
      this.#sample(this.#reachedMs, intervalS)
    }
  }

  /** Drops the lamp while the broker says so of this vessel, or of one that it does not name. */
  #obey({ world, prefix }: RigVessel, atMs: number): void {
    const relay = this.#relays.get(prefix)
    if (!relay) return
    const { lampOff, hot } = this.#setting.device.alarm
    const named = hot.length === 0 || hot.some(channel => prefixOf(channel) === prefix)
    relay.hear(lampOff && named, atMs)
    world.lampRelayOpen = relay.isOpen(atMs)
  }

  #sample(atMs: number, stepS: number): void {
    const { device, vessels, onTruth } = this.#setting
    const begun = vessels.filter(({ beginsAtMs }) => atMs - beginsAtMs >= (stepS * 1000) / 2)
    for (const vessel of begun) {
      this.#obey(vessel, atMs)
      vessel.world.step(stepS)
    }
    device.networkUp = begun.every(({ world }) => world.networkUp)
    device.sample({
      atMs,
      readings: begun.flatMap(({ world, prefix }) => [
        ...readingsOf(world.measure(), prefix),
        ...(world.scenario.upperProbe
          ? [{ name: `${prefix}${UPPER_PROBE}`, unit: 'Cel', value: world.measureUpper() }]
          : []),
      ]),
    })
    for (const { world, prefix } of begun) onTruth?.(prefix, atMs, world.truth())
  }
}

/** What stands before the last part of a channel's name: `1/` of `1/water`. */
function prefixOf(channel: string): string {
  return channel.slice(0, channel.lastIndexOf('/') + 1)
}

/** As the link names them. Air goes out in litres a minute, as flow meters speak. */
/** The channel of a second probe near the surface, where there is one. */
export const UPPER_PROBE = 'upper/water'

export function readingsOf({ waterC, roomC, airLpm, lightLx, levelShare }: Measured, prefix: string) {
  return [
    { name: `${prefix}water`, unit: 'Cel', value: waterC },
    { name: `${prefix}room`, unit: 'Cel', value: roomC },
    { name: `${prefix}air`, unit: 'l/min', value: airLpm },
    { name: `${prefix}light`, unit: 'lx', value: lightLx },
    ...(levelShare === null ? [] : [{ name: `${prefix}level`, unit: '/', value: levelShare }]),
  ]
}
