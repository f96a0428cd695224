import { deviceAlarm, QUIET, type DeviceAlarm } from '../../firmware-protocol/device-alarm.ts'
import { LAST_WILL, type DeviceState } from '../../firmware-protocol/device-state.ts'
import { encodePack } from '../../firmware-protocol/pack.ts'
import { topicOf } from '../../firmware-protocol/topics.ts'
import type { Random } from '../random.ts'
import type { BackoffSetting } from './backoff.ts'
import { MqttLink } from './mqtt-link.ts'
import { Outbox, type PackInFlight, type Sampling } from './outbox.ts'

export interface DeviceSetting {
  readonly name: string
  readonly password: string
  readonly host: string
  readonly port: number
  /** The device's own clock, ms. It need not tell the time of day, and may run faster than ours. */
  readonly now: () => number
  /** Source of `boot` and of the spread of reconnects. */
  readonly random: Random
  readonly format?: 'json' | 'cbor'
  /** Readings kept at most while nobody acknowledges; 10,000 when left out. */
  readonly outboxReadings?: number
  /** Readings in one pack at most; 300 when left out. */
  readonly packReadings?: number
  readonly backoff?: BackoffSetting
  readonly acknowledgeWithinMs?: number
  readonly stateEveryMs?: number
  /** Told when the connection comes or goes. */
  readonly onLink?: (up: boolean, why: string | null) => void
  /** Told of each message on the alarm topic that could be read. */
  readonly onAlarm?: (alarm: DeviceAlarm) => void
}

/**
 * A device as the link's specification asks for it: what it measures waits in its own bounded outbox, goes out in packs of
 * which one is under way at a time, with times relative to the moment of sending, and is let go on PUBACK only.
 */
export class Device {
  readonly boot: string
  readonly outbox: Outbox
  #setting: DeviceSetting
  #link: MqttLink
  #poweredAtMs: number
  #sending = false
  #acknowledged = 0
  #stateTimer: NodeJS.Timeout | undefined
  #running = false
  #networkUp = true
  #alarm: DeviceAlarm = QUIET
  #alarmsHeard = 0

  constructor(setting: DeviceSetting) {
    this.#setting = setting
    this.#poweredAtMs = setting.now()
    const random = setting.random.fork(setting.name)
    this.boot = Array.from({ length: 12 }, () => Math.floor(random.uniform() * 36).toString(36)).join('')
    this.outbox = new Outbox({
      readings: setting.outboxReadings ?? 10_000,
      packReadings: setting.packReadings ?? 300,
    })
    this.#link = new MqttLink(
      {
        host: setting.host,
        port: setting.port,
        device: setting.name,
        password: setting.password,
        subscriptions: [topicOf(setting.name, 'alarm')],
        will: { topic: topicOf(setting.name, 'state'), payload: LAST_WILL },
        backoff: setting.backoff ?? { firstMs: 1000, mostMs: 60_000 },
        acknowledgeWithinMs: setting.acknowledgeWithinMs ?? 30_000,
      },
      {
        up: () => this.#up(),
        down: why => this.#down(why),
        message: (_, payload) => this.#hear(payload),
      },
      random,
    )
  }

  /** Readings that the broker has acknowledged. */
  get acknowledged(): number {
    return this.#acknowledged
  }

  get connected(): boolean {
    return this.#link.up
  }

  /** What the broker said last of alarms. It holds over a lost connection. */
  get alarm(): DeviceAlarm {
    return this.#alarm
  }

  /** Messages on the alarm topic that could be read, since power-up. */
  get alarmsHeard(): number {
    return this.#alarmsHeard
  }

  /** Whether the buzzer sounds. */
  get sounding(): boolean {
    return this.#alarm.sound
  }

  start(): void {
    if (this.#running) return
    this.#running = true
    this.#stateTimer = setInterval(() => this.#tellState(), this.#setting.stateEveryMs ?? 60_000)
    if (this.#networkUp) this.#link.open()
  }

  /** Keeps what was measured and sends it when it can. Works before `start` too: that is a backlog. */
  sample(sampling: Sampling): void {
    this.outbox.add(sampling)
    this.#send()
  }

  /** Pulls the network cable, or plugs it in again. */
  set networkUp(up: boolean) {
    if (up === this.#networkUp) return
    this.#networkUp = up
    if (!this.#running) return
    if (up) this.#link.open()
    else this.#link.cut()
  }

  /** Says that it goes, and goes. What was not acknowledged stays in the outbox. */
  async stop(): Promise<void> {
    this.#running = false
    clearInterval(this.#stateTimer)
    await new Promise<void>(resolve => {
      const patience = setTimeout(resolve, 1000)
      const told = this.#link.publish(topicOf(this.#setting.name, 'state'), LAST_WILL, true, () => {
        clearTimeout(patience)
        resolve()
      })
      if (told) return
      clearTimeout(patience)
      resolve()
    })
    await this.#link.close()
  }

  #up(): void {
    this.#sending = false
    this.#tellState()
    this.#setting.onLink?.(true, null)
    this.#send()
  }

  #down(why: string | null): void {
    this.#sending = false
    this.#setting.onLink?.(false, why)
  }

  /** What does not fit the specification is ignored. An empty message: the device was revoked, so nothing stands. */
  #hear(payload: Uint8Array): void {
    const alarm = payload.length === 0 ? QUIET : readAlarm(payload)
    if (alarm === null) return
    this.#alarm = alarm
    this.#alarmsHeard++
    this.#setting.onAlarm?.(alarm)
  }

  #send(): void {
    if (this.#sending || !this.#running || !this.#link.up) return
    const pack = this.outbox.next()
    if (!pack) return
    this.#sending = true
    const topic = topicOf(this.#setting.name, 'measurements')
    this.#link.publish(topic, this.#encode(pack), false, () => {
      this.#acknowledged += pack.samplings.reduce((sum, sampling) => sum + sampling.readings.length, 0)
      this.outbox.acknowledged(pack.seq)
      this.#sending = false
      this.#send()
    })
  }

  #encode({ seq, samplings }: PackInFlight): Uint8Array {
    const nowMs = this.#setting.now()
    return encodePack(
      {
        boot: this.boot,
        seq,
        uptimeS: Math.round((nowMs - this.#poweredAtMs) / 1000),
        measurements: samplings.flatMap(({ atMs, readings }) =>
          readings.map(reading => ({ ...reading, timeS: Math.round(atMs - nowMs) / 1000 })),
        ),
      },
      this.#setting.format ?? 'json',
    )
  }

  #tellState(): void {
    const state: DeviceState = {
      online: true,
      firmware: 'brinewatch-sim 1',
      uptimeS: Math.round((this.#setting.now() - this.#poweredAtMs) / 1000),
      backlog: this.outbox.size,
      dropped: this.outbox.dropped,
      resetReason: 'power-on',
    }
    this.#link.publish(topicOf(this.#setting.name, 'state'), JSON.stringify(state), true)
  }
}

function readAlarm(payload: Uint8Array): DeviceAlarm | null {
  try {
    return deviceAlarm.parse(JSON.parse(Buffer.from(payload).toString()))
  } catch {
    return null
  }
}
