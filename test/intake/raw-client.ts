import { connect } from 'node:net'
import type { Socket } from 'node:net'
import { generate, parser } from 'mqtt-packet'
import type { Packet } from 'mqtt-packet'
import { until } from './fakes.ts'

/** A client that shows every packet and never acts by itself. */
export class RawClient {
  readonly socket: Socket
  readonly got: Packet[] = []
  closed = false

  constructor(port: number) {
    this.socket = connect(port, '127.0.0.1')
    const read = parser()
    read.on('packet', (packet: Packet) => this.got.push(packet))
    this.socket.on('data', chunk => read.parse(chunk))
    this.socket.on('error', () => {})
    this.socket.on('close', () => (this.closed = true))
  }

  send(...packets: Packet[]): void {
    this.socket.write(Buffer.concat(packets.map(packet => generate(packet))))
  }

  async connect(device: string, more: Record<string, unknown> = {}): Promise<number> {
    this.send({
      cmd: 'connect',
      protocolId: 'MQTT',
      protocolVersion: 4,
      clean: true,
      clientId: 'raw',
      keepalive: 0,
      username: device,
      password: Buffer.from(`${device}!`),
      ...more,
    })
    await until(() => this.closed || this.of('connack').length > 0, 'a CONNACK')
    const connack = this.of('connack')[0]
    return connack?.cmd === 'connack' ? (connack.returnCode ?? -1) : -1
  }

  publish(topic: string, payload: string | Buffer, messageId: number, more: object = {}): Packet {
    return { cmd: 'publish', topic, payload, messageId, qos: 1, dup: false, retain: false, ...more }
  }

  of(cmd: Packet['cmd']): Packet[] {
    return this.got.filter(packet => packet.cmd === cmd)
  }

  get acks(): number[] {
    return this.of('puback').map(packet => packet.messageId ?? -1)
  }

  end(): void {
    this.socket.destroy()
  }
}
