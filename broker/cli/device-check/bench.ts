import { createServer, type AddressInfo, type Server, type Socket } from 'node:net'
import { generate, parser, type IPublishPacket, type Packet } from 'mqtt-packet'
import type { Clock } from '../../clock.ts'
import { topicOf, type TopicKind } from '../../../firmware-protocol/topics.ts'

/** One packet of the device, or the end of its connection. */
export interface Heard {
  readonly atMs: number
  /** Counts connections from 1. */
  readonly connection: number
  /** A message that was left without an answer, on purpose. */
  readonly isUnanswered?: boolean
  readonly packet: Packet | { readonly cmd: 'end' } | { readonly cmd: 'nonsense'; readonly why: string }
}

/** A device that sends without end is heard up to here, and what it sends later is not looked at. */
const MOST_HEARD = 20_000
const MOST_CONNECTIONS = 20

/** A small broker for one device on trial. It answers by the book, except where it is told to be a bad one. */
export class CheckBench {
  readonly heard: Heard[] = []
  /** Whether a pack is acknowledged. */
  acknowledges = true
  /** How many of the next connections are refused, with CONNACK 3. */
  refuses = 0
  readonly #device: string
  readonly #clock: Clock
  readonly #server: Server
  readonly #sockets = new Set<Socket>()
  readonly #retained = new Map<TopicKind, string>()
  #connections = 0
  #number = 0

  constructor(device: string, clock: Clock) {
    this.#device = device
    this.#clock = clock
    this.#server = createServer(socket => this.#take(socket))
  }

  listen(host: string, port: number): Promise<number> {
    return new Promise((resolve, reject) => {
      this.#server.once('error', reject)
      this.#server.listen(port, host, () => resolve((this.#server.address() as AddressInfo).port))
    })
  }

  /** To the device, and with `retain` to whoever subscribes later. */
  tell(kind: TopicKind, payload: object | string, retain = kind !== 'command'): void {
    const text = typeof payload === 'string' ? payload : JSON.stringify(payload)
    if (retain) this.#retained.set(kind, text)
    for (const socket of this.#sockets) this.#publish(socket, kind, text, false)
  }

  /** Ends the connection without a word. */
  cut(): void {
    for (const socket of this.#sockets) socket.destroy()
  }

  async close(): Promise<void> {
    this.cut()
    await new Promise(resolve => this.#server.close(resolve))
  }

  #note(connection: number, packet: Heard['packet']): void {
    if (this.heard.length >= MOST_HEARD) return
    const isUnanswered = packet.cmd === 'publish' && !this.#answers(packet)
    this.heard.push({ atMs: this.#clock(), connection, packet, isUnanswered })
  }

  #answers({ topic }: IPublishPacket): boolean {
    return this.acknowledges || !topic.endsWith('/measurements')
  }

  #take(socket: Socket): void {
    if (this.#sockets.size >= MOST_CONNECTIONS) return void socket.destroy()
    const connection = ++this.#connections
    this.#sockets.add(socket)
    socket.setNoDelay(true)
    socket.on('error', () => {})
    socket.on('close', () => {
      this.#sockets.delete(socket)
      this.#note(connection, { cmd: 'end' })
    })
    const read = parser()
    read.on('packet', (packet: Packet) => {
      this.#note(connection, packet)
      this.#answer(socket, packet)
    })
    read.on('error', (error: Error) => {
      this.#note(connection, { cmd: 'nonsense', why: error.message })
      socket.destroy()
    })
    socket.on('data', chunk => read.parse(chunk))
  }

  #answer(socket: Socket, packet: Packet): void {
    switch (packet.cmd) {
      case 'connect': {
        const refused = this.refuses > 0
        if (refused) this.refuses--
        this.#write(socket, { cmd: 'connack', returnCode: refused ? 3 : 0, sessionPresent: false })
        if (refused) socket.end()
        return
      }
      case 'subscribe': {
        const granted = packet.subscriptions.map(() => 1)
        this.#write(socket, { cmd: 'suback', messageId: packet.messageId!, granted })
        for (const { topic } of packet.subscriptions)
          for (const [kind, text] of this.#retained)
            if (topic === topicOf(this.#device, kind)) this.#publish(socket, kind, text, true)
        return
      }
      case 'publish':
        if (packet.qos === 1 && this.#answers(packet))
          this.#write(socket, { cmd: 'puback', messageId: packet.messageId! })
        if (packet.qos === 2) this.#write(socket, { cmd: 'pubrec', messageId: packet.messageId! })
        return
      case 'pubrel':
        return this.#write(socket, { cmd: 'pubcomp', messageId: packet.messageId! })
      case 'pingreq':
        return this.#write(socket, { cmd: 'pingresp' })
      default:
        return
    }
  }

  #publish(socket: Socket, kind: TopicKind, payload: string, retain: boolean): void {
    this.#number = (this.#number % 65_535) + 1
    const topic = topicOf(this.#device, kind)
    this.#write(socket, {
      cmd: 'publish',
      topic,
      payload,
      qos: 1,
      dup: false,
      retain,
      messageId: this.#number,
    })
  }

  #write(socket: Socket, packet: Packet): void {
    if (!socket.destroyed) socket.write(generate(packet))
  }
}
