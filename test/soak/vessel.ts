import { Device } from '../../sim/device/device.ts'
import { seededRandom, type Random } from '../../sim/random.ts'
import { readingsOf } from '../../sim/rig.ts'
import { PLAIN } from '../../sim/scenario.ts'
import { World } from '../../sim/world.ts'

const HOUR = 3_600_000
/** Between samplings, in the world's time, s. */
export const STEP_S = 60
/** Of a device without a card for its backlog: five hours. A longer loss of the network makes it drop, and count. */
const OUTBOX = 1200

/** What became of a device's readings, as it knows. */
export interface Count {
  readonly sampled: number
  /** Its outbox was full. */
  readonly dropped: number
  /** Still waiting when it was switched off. */
  readonly lost: number
  /** On their way then: nobody but the store knows of them. */
  readonly unsure: number
  readonly reboots: number
}

/** One simulated vessel with its device, on a clock that runs fast; losses of the network, and reboots, come by seed. */
export class SoakVessel {
  readonly device: { readonly device: string; readonly password: string }
  readonly #random: Random
  readonly #now: () => number
  readonly #port: number
  #world: World
  #live: Device
  #reachedMs: number
  #outUntilMs = 0
  #nextOutMs = 0
  #nextRebootMs = 0
  #rebooting = false
  #over = { sampled: 0, dropped: 0, lost: 0, unsure: 0, reboots: 0 }
  #seed: number

  constructor(
    device: { device: string; password: string },
    parts: { seed: number; now: () => number; port: number },
  ) {
    this.device = device
    this.#seed = parts.seed
    this.#random = seededRandom(parts.seed)
    this.#now = parts.now
    this.#port = parts.port
    this.#reachedMs = parts.now()
    this.#world = this.#newWorld()
    this.#live = this.#powerUp()
    this.#planOut()
    this.#nextRebootMs = this.#reachedMs + this.#hours(6, 60)
  }

  /** Another batch is poured in. */
  pourIn(): void {
    this.#world = this.#newWorld()
  }

  play(): void {
    if (this.#rebooting) return
    const nowMs = this.#now()
    while (this.#reachedMs + STEP_S * 1000 <= nowMs) {
      this.#reachedMs += STEP_S * 1000
      const atMs = this.#reachedMs
      if (atMs >= this.#nextOutMs) this.#planOut(atMs)
      this.#live.networkUp = atMs >= this.#outUntilMs
      this.#world.step(STEP_S)
      const readings = readingsOf(this.#world.measure(), '')
      this.#over.sampled += readings.length
      this.#live.sample({ atMs, readings })
    }
    if (nowMs >= this.#nextRebootMs) void this.reboot()
  }

  /** Its power is lost, and with it all that waited. */
  async reboot(): Promise<void> {
    this.#rebooting = true
    this.#nextRebootMs = this.#now() + this.#hours(12, 96)
    const old = this.#live
    await old.stop()
    this.#over.dropped += old.outbox.dropped
    const inFlight = old.outbox.next()
    const onTheWay = inFlight?.samplings.reduce((sum, { readings }) => sum + readings.length, 0) ?? 0
    this.#over.unsure += onTheWay
    this.#over.lost += old.outbox.size - onTheWay
    this.#over.reboots++
    this.#reachedMs = this.#now()
    this.#live = this.#powerUp()
    this.#rebooting = false
  }

  /** The network is there from now on, and nothing more is sampled: what waits goes out. */
  async drain(withinMs: number): Promise<void> {
    this.#live.networkUp = true
    const end = performance.now() + withinMs
    while (this.#live.outbox.size > 0 && performance.now() < end)
      await new Promise(resolve => setTimeout(resolve, 20))
    await this.#live.stop()
  }

  count(): Count {
    const { dropped, size } = this.#live.outbox
    return { ...this.#over, dropped: this.#over.dropped + dropped, lost: this.#over.lost + size }
  }

  #powerUp(): Device {
    const { device: name, password } = this.device
    const live = new Device({
      name,
      password,
      host: '127.0.0.1',
      port: this.#port,
      now: this.#now,
      random: seededRandom(this.#seed * 1000 + this.#over.reboots),
      outboxReadings: OUTBOX,
      backoff: { firstMs: 20, mostMs: 400 },
      acknowledgeWithinMs: 10_000,
      stateEveryMs: 1000,
    })
    live.start()
    return live
  }

  #newWorld(): World {
    const hot = this.#random.uniform() < 0.15
    const lamp = hot ? [{ atH: 4 + 16 * this.#random.uniform(), to: 2.5 }] : []
    return new World({ ...PLAIN, lamp }, { seed: Math.floor(this.#random.uniform() * 1e9) })
  }

  #planOut(fromMs?: number): void {
    // Mostly minutes; now and then longer than the outbox lasts.
    const lastsMs = this.#random.uniform() < 0.2 ? this.#hours(4, 9) : this.#hours(0.05, 1)
    if (fromMs !== undefined) this.#outUntilMs = fromMs + lastsMs
    this.#nextOutMs = (fromMs ?? this.#reachedMs) + lastsMs + this.#hours(2, 20)
  }

  #hours(from: number, to: number): number {
    return (from + (to - from) * this.#random.uniform()) * HOUR
  }
}
