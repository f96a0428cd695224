import { deviceAlarm, QUIET, type DeviceAlarm } from '../../firmware-protocol/device-alarm.ts'
import {
  DEFAULT_DEVICE_CONFIG,
  deviceConfig,
  type DeviceConfig,
} from '../../firmware-protocol/device-config.ts'
import { deviceCommand } from '../../firmware-protocol/device-orders.ts'
import { LAST_WILL, type DeviceState } from '../../firmware-protocol/device-state.ts'
import { encodePack } from '../../firmware-protocol/pack.ts'
import { topicOf } from '../../firmware-protocol/topics.ts'
import type { Random } from '../random.ts'
import type { BackoffSetting } from './backoff.ts'
import { buzzOf, type Buzz } from './buzzer.ts'
import { Hearing } from './hearing.ts'
import { MqttLink } from './mqtt-link.ts'
import { Outbox, type PackInFlight, type Sampling } from './outbox.ts'
import { OwnLimits } from './own-limits.ts'

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
  /** Told of each message on the config topic that could be read. */
  readonly onConfig?: (config: DeviceConfig) => void
  /** Told when it is to measure at once, ahead of its turn. */
  readonly onMeasureNow?: () => void
  /** Told when it is to blink, so that somebody finds it. */
  readonly onIdentify?: (seconds: number) => void
}

/** After the order to restart, so that its acknowledgement can go. */
const RESTART_MS = 300

/**
 * A device as the link's specification asks for it: what it measures waits in its own bounded outbox, goes out in packs of
 * which one is under way at a time, with times relative to the moment of sending, and is let go on PUBACK only.
 */
export class Device {
  #boot = ''
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
  #config: DeviceConfig = DEFAULT_DEVICE_CONFIG
  #nextReportMs = -Infinity
  #identifyUntilMs = -Infinity
  #restart: NodeJS.Timeout | undefined
  #resetReason = 'power-on'
  readonly #random: Random
  #hearing: Hearing
  readonly #limits = new OwnLimits()

  constructor(setting: DeviceSetting) {
    this.#setting = setting
    this.#poweredAtMs = setting.now()
    this.#hearing = new Hearing(this.#poweredAtMs)
    const random = setting.random.fork(setting.name)
    this.#random = random
    this.#boot = newBoot(random)
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
        subscriptions: (['alarm', 'config', 'command'] as const).map(kind => topicOf(setting.name, kind)),
        will: { topic: topicOf(setting.name, 'state'), payload: LAST_WILL },
        backoff: setting.backoff ?? { firstMs: 1000, mostMs: 60_000 },
        acknowledgeWithinMs: setting.acknowledgeWithinMs ?? 30_000,
      },
      {
        up: () => this.#up(),
        down: why => this.#down(why),
        message: (topic, payload) => this.#hear(topic, payload),
      },
      random,
    )
  }

  /** Made anew at every power-up. */
  get boot(): string {
    return this.#boot
  }

  /** Whether it blinks so that somebody finds it. */
  get identifying(): boolean {
    return this.#setting.now() < this.#identifyUntilMs
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

  /** By what it measures. Revision 0: nobody has told it anything. It holds over a lost connection. */
  get config(): DeviceConfig {
    return this.#config
  }

  /** The pattern that the buzzer plays now; `null` when it is quiet. */
  get buzz(): Buzz | null {
    const silenceSounds = this.#hearing.sounds(this.#config.silentBrokerMinutes, this.#setting.now())
    return buzzOf(this.#alarm, { limitSounds: this.#limits.sounds, silenceSounds })
  }

  /** Whether the buzzer sounds. */
  get sounding(): boolean {
    return this.buzz !== null
  }

  /** The button at the device: it answers for what the device sounds by itself, and for nothing that the broker told. */
  pressButton(): void {
    this.#limits.hush()
    this.#hearing.hush(this.#config.silentBrokerMinutes, this.#setting.now())
  }

  start(): void {
    if (this.#running) return
    this.#running = true
    this.#tellStateEvery(this.#setting.stateEveryMs ?? this.#config.stateIntervalS * 1000)
    if (this.#networkUp) this.#link.open()
  }

  /** Keeps what was measured and sends it when it can. Works before `start` too: that is a backlog. */
  sample(sampling: Sampling): void {
    this.outbox.add(sampling)
    this.#limits.take(sampling.readings, this.#config.limits)
    // Until it is told how often to report, whoever samples decides.
    const nowMs = this.#setting.now()
    if (this.#config.revision > 0 && nowMs < this.#nextReportMs) return
    this.#nextReportMs = nowMs + this.#config.reportIntervalS * 1000
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
    clearTimeout(this.#restart)
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

  /** What does not fit the specification is ignored. */
  #hear(topic: string, payload: Uint8Array): void {
    if (topic === topicOf(this.#setting.name, 'config')) this.#hearConfig(payload)
    else if (topic === topicOf(this.#setting.name, 'command')) this.#obey(payload)
    else this.#hearAlarm(payload)
  }

  /** An empty message: the device was revoked, so nothing stands. */
  #hearAlarm(payload: Uint8Array): void {
    const alarm = payload.length === 0 ? QUIET : readAs(deviceAlarm, payload)
    if (alarm === null) return
    this.#alarm = alarm
    this.#alarmsHeard++
    // Somebody has answered for what stands in these vessels, so for what the device saw by itself too.
    if (alarm.standing > 0 && !alarm.sound && !this.#silent()) this.#limits.hush()
    this.#setting.onAlarm?.(alarm)
  }

  /** An empty message: nobody sets anything for it any more, so it goes by what it was made with. */
  #hearConfig(payload: Uint8Array): void {
    const config = payload.length === 0 ? DEFAULT_DEVICE_CONFIG : readAs(deviceConfig, payload)
    if (config === null) return
    this.#config = config
    this.#nextReportMs = -Infinity
    if (this.#running) this.#tellStateEvery(this.#setting.stateEveryMs ?? config.stateIntervalS * 1000)
    // So that whoever set it sees that it is in force.
    this.#tellState()
    this.#setting.onConfig?.(config)
  }

  #obey(payload: Uint8Array): void {
    const said = readAs(deviceCommand, payload)
    switch (said?.command) {
      case 'identify':
        this.#identifyUntilMs = this.#setting.now() + said.seconds * 1000
        this.#setting.onIdentify?.(said.seconds)
        return
      case 'report':
        this.#nextReportMs = -Infinity
        this.#setting.onMeasureNow?.()
        this.#send()
        this.#tellState()
        return
      case 'restart':
        this.#restartSoon()
        return
      case undefined:
        return
    }
  }

  #restartSoon(): void {
    clearTimeout(this.#restart)
    this.#restart = setTimeout(() => this.#powerUp(), RESTART_MS)
  }

  /** As after an order to restart: what is unsent was kept, and goes out by the numbers of the new power-up. */
  #powerUp(): void {
    if (!this.#running) return
    // What may have arrived must go out again under its own number.
    if (this.outbox.isSending) return this.#restartSoon()
    const wasUp = this.#networkUp
    this.#link.cut()
    this.#poweredAtMs = this.#setting.now()
    this.#boot = newBoot(this.#random)
    this.outbox.renumber()
    this.#hearing = new Hearing(this.#poweredAtMs)
    this.#resetReason = 'software'
    this.#identifyUntilMs = -Infinity
    this.#alarm = QUIET
    if (wasUp) this.#link.open()
  }

  #silent(): boolean {
    return this.#hearing.silent(this.#config.silentBrokerMinutes, this.#setting.now())
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
      this.#hearing.heard(this.#setting.now())
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
        uptimeS: Math.round(nowMs - this.#poweredAtMs) / 1000,
        measurements: samplings.flatMap(({ atMs, readings }) =>
          readings.map(reading => ({ ...reading, timeS: Math.round(atMs - nowMs) / 1000 })),
        ),
      },
      this.#setting.format ?? 'json',
    )
  }

  #tellStateEvery(ms: number): void {
    clearInterval(this.#stateTimer)
    this.#stateTimer = setInterval(() => this.#tellState(), ms)
  }

  #tellState(): void {
    const state: DeviceState = {
      online: true,
      firmware: 'brinewatch-sim 1',
      uptimeS: Math.round((this.#setting.now() - this.#poweredAtMs) / 1000),
      backlog: this.outbox.size,
      dropped: this.outbox.dropped,
      resetReason: this.#resetReason,
      atMs: Math.round(this.#setting.now()),
      configRevision: this.#config.revision,
    }
    this.#link.publish(topicOf(this.#setting.name, 'state'), JSON.stringify(state), true)
  }
}

function newBoot(random: Random): string {
  return Array.from({ length: 12 }, () => Math.floor(random.uniform() * 36).toString(36)).join('')
}

function readAs<T>(schema: { parse(value: unknown): T }, payload: Uint8Array): T | null {
  try {
    return schema.parse(JSON.parse(Buffer.from(payload).toString()))
  } catch {
    return null
  }
}
