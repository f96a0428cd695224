import { connect, type Socket } from 'node:net'
import { generate, parser, type Packet } from 'mqtt-packet'

/** What a device can do wrong. */
export const Flaw = {
  noWill: 'no-will',
  willUnretained: 'will-unretained',
  wrongUser: 'wrong-user',
  longKeepAlive: 'long-keep-alive',
  noCommandTopic: 'no-command-topic',
  foreignTopic: 'foreign-topic',
  qos0: 'qos-0',
  noBoot: 'no-boot',
  seqGap: 'seq-gap',
  fahrenheit: 'fahrenheit',
  numberAsText: 'number-as-text',
  future: 'future',
  stateUnretained: 'state-unretained',
  stateBad: 'state-bad',
  pipelined: 'pipelined',
  resendsOther: 'resends-other',
  resendsOldTimes: 'resends-old-times',
  neverGivesUp: 'never-gives-up',
  ignoresConfig: 'ignores-config',
  breaksOnNonsense: 'breaks-on-nonsense',
  noReport: 'no-report',
  storms: 'storms',
  forgets: 'forgets',
} as const
export type Flaw = (typeof Flaw)[keyof typeof Flaw]

/** A device in a hundred lines, by the book but for one flaw. Its time runs `speed` times faster than the wall's clock. */
export class PlainDevice {
  readonly #name: string
  readonly #port: number
  readonly #speed: number
  readonly #flaw: Flaw | null
  readonly #boot = 'plain'
  #socket: Socket | null = null
  #isUp = false
  #waiting: number[] = []
  #flight: { seq: number; taken: number[]; sent: boolean; encodedAtMs: number } | null = null
  #flightTimer: NodeJS.Timeout | undefined
  #seq = 0
  #number = 0
  #tries = 0
  #sampleMs = 1000
  #reportMs = 5000
  #revision = 0
  #timers: NodeJS.Timeout[] = []
  #sampler: NodeJS.Timeout | undefined
  #reporter: NodeJS.Timeout | undefined
  #isOver = false

  constructor(name: string, port: number, speed: number, flaw: Flaw | null) {
    this.#name = name
    this.#port = port
    this.#speed = speed
    this.#flaw = flaw
    this.#pace()
    this.#dial()
  }

  stop(): void {
    this.#isOver = true
    clearInterval(this.#sampler)
    clearInterval(this.#reporter)
    clearTimeout(this.#flightTimer)
    for (const timer of this.#timers) clearTimeout(timer)
    this.#socket?.destroy()
  }

  get #nowMs(): number {
    return performance.now() * this.#speed
  }
  #later(ms: number, act: () => void): NodeJS.Timeout {
    const timer = setTimeout(act, ms / this.#speed)
    this.#timers.push(timer)
    return timer
  }
  #pace(): void {
    clearInterval(this.#sampler)
    clearInterval(this.#reporter)
    this.#sampler = setInterval(() => {
      if (this.#isUp || this.#flaw !== Flaw.forgets) this.#waiting.push(this.#nowMs)
    }, this.#sampleMs / this.#speed)
    this.#reporter = setInterval(() => this.#send(), this.#reportMs / this.#speed)
  }

  #dial(): void {
    if (this.#isOver) return
    const socket = connect(this.#port, '127.0.0.1')
    this.#socket = socket
    socket.setNoDelay(true)
    const read = parser()
    read.on('packet', (packet: Packet) => this.#hear(packet))
    socket.on('data', chunk => read.parse(chunk))
    socket.on('error', () => {})
    socket.on('connect', () => this.#greet())
    socket.on('close', () => {
      this.#isUp = false
      clearTimeout(this.#flightTimer)
      const wait = this.#flaw === Flaw.storms ? 20 : 1000 * 2 ** this.#tries++ * (0.6 + 0.4 * Math.random())
      this.#later(wait, () => this.#dial())
    })
  }

  #greet(): void {
    const topic = `brinewatch/v1/${this.#name}/state`
    this.#write({
      ...{ cmd: 'connect', protocolId: 'MQTT', protocolVersion: 4, clean: true, clientId: this.#name },
      keepalive: this.#flaw === Flaw.longKeepAlive ? 600 : 45,
      username: this.#flaw === Flaw.wrongUser ? 'somebody' : this.#name,
      password: Buffer.from('x'),
      ...(this.#flaw === Flaw.noWill
        ? {}
        : {
            will: {
              topic,
              payload: Buffer.from('{"online":false}'),
              qos: 1,
              retain: this.#flaw !== Flaw.willUnretained,
            },
          }),
    })
  }

  #hear(packet: Packet): void {
    if (packet.cmd === 'connack') {
      if (packet.returnCode !== 0) return void this.#socket?.destroy()
      const kinds = this.#flaw === Flaw.noCommandTopic ? ['config', 'alarm'] : ['config', 'alarm', 'command']
      const subscriptions = kinds.map(kind => ({
        topic: `brinewatch/v1/${this.#name}/${kind}`,
        qos: 1 as const,
      }))
      this.#write({ cmd: 'subscribe', messageId: 1, subscriptions })
    } else if (packet.cmd === 'suback') {
      this.#isUp = true
      this.#tellState()
      if (this.#flaw === Flaw.foreignTopic)
        this.#publish('brinewatch/v1/other/state', '{"online":true}', true)
      this.#send()
    } else if (packet.cmd === 'puback' && this.#flight && packet.messageId === this.#number) {
      clearTimeout(this.#flightTimer)
      this.#flight = null
      this.#tries = 0
    } else if (packet.cmd === 'publish') {
      this.#write({ cmd: 'puback', messageId: packet.messageId! })
      this.#obey(packet.topic.split('/').at(-1)!, packet.payload.toString())
    }
  }

  #obey(kind: string, text: string): void {
    let said: any
    try {
      said = JSON.parse(text)
    } catch {
      if (this.#flaw === Flaw.breaksOnNonsense) this.#socket?.destroy()
      return
    }
    if (kind === 'config' && !(said.sampleIntervalS < 1)) {
      this.#revision = said.revision ?? 0
      if (this.#flaw !== Flaw.ignoresConfig) {
        this.#sampleMs = (said.sampleIntervalS ?? 1) * 1000
        this.#reportMs = (said.reportIntervalS ?? 5) * 1000
        this.#pace()
      }
      this.#tellState()
    } else if (kind === 'command' && said.command === 'report' && this.#flaw !== Flaw.noReport) {
      this.#waiting.push(this.#nowMs)
      this.#send()
      this.#later(200, () => this.#tellState())
    }
  }

  #tellState(): void {
    const state = {
      ...{
        online: true,
        firmware: 'plain 1',
        rssiDbm: -60,
        uptimeS: Math.round(this.#nowMs / 1000),
        backlog: 0,
      },
      ...{ resetReason: 'power-on', configRevision: this.#revision },
    }
    const text = this.#flaw === Flaw.stateBad ? '{"online":"yes"}' : JSON.stringify(state)
    this.#publish(`brinewatch/v1/${this.#name}/state`, text, this.#flaw !== Flaw.stateUnretained)
  }

  #send(): void {
    if (!this.#isUp || (this.#flight?.sent && this.#flaw !== Flaw.pipelined && this.#flightTimer?.hasRef())) {
      if (this.#flight && this.#isUp && !this.#onThis) this.#transmit(true)
      return
    }
    if (this.#flight && !this.#onThis) return this.#transmit(true)
    if (this.#flight && this.#flaw !== Flaw.pipelined) return
    const taken = this.#waiting.splice(0, 200)
    if (taken.length === 0) return
    this.#flight = { seq: this.#seq, taken, sent: false, encodedAtMs: this.#nowMs }
    this.#seq += this.#flaw === Flaw.seqGap ? 2 : 1
    this.#transmit(false)
  }

  /** The connection that the pack under way was sent on last. */
  #flightSocket: Socket | null = null
  get #onThis(): boolean {
    return this.#flightSocket === this.#socket
  }

  #transmit(again: boolean): void {
    const flight = this.#flight!
    this.#flightSocket = this.#socket
    flight.sent = true
    const nowMs = again && this.#flaw === Flaw.resendsOldTimes ? flight.encodedAtMs : this.#nowMs
    const shift = this.#flaw === Flaw.future ? 60 : 0
    const unit = this.#flaw === Flaw.fahrenheit ? 'degF' : 'Cel'
    const value = again && this.#flaw === Flaw.resendsOther ? 26 : 27.5
    const records = [
      ...(this.#flaw === Flaw.noBoot ? [] : [{ n: 'boot', vs: this.#boot }]),
      { n: 'seq', v: flight.seq },
      { n: 'uptime', u: 's', v: this.#nowMs / 1000 },
      ...flight.taken.map(ms => ({
        ...{ n: 'water', u: unit, t: (ms - nowMs) / 1000 + shift },
        v: this.#flaw === Flaw.numberAsText ? String(value) : value,
      })),
    ]
    this.#number = this.#publish(
      `brinewatch/v1/${this.#name}/measurements`,
      JSON.stringify(records),
      false,
      again,
    )
    clearTimeout(this.#flightTimer)
    if (this.#flaw === Flaw.qos0) this.#flight = null
    else if (this.#flaw !== Flaw.neverGivesUp)
      this.#flightTimer = this.#later(20_000, () => this.#socket?.destroy())
  }

  #ids = 1
  #publish(topic: string, payload: string, retain: boolean, dup = false): number {
    const messageId = (this.#ids = (this.#ids % 60_000) + 1)
    const qos = this.#flaw === Flaw.qos0 && topic.endsWith('measurements') ? 0 : 1
    this.#write({ cmd: 'publish', topic, payload, retain, qos, dup: qos === 1 && dup, messageId })
    return messageId
  }
  #write(packet: Packet): void {
    if (this.#socket && !this.#socket.destroyed) this.#socket.write(generate(packet))
  }
}
